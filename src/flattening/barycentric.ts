import { analyse, assembleSymmetric, LdlSolver } from '../linalg/index.js';
import type { ChartSurface } from '../mesh/index.js';
import { listMembers } from '../structures/index.js';
import { borderLengths } from './boundary-first.js';
import { reducedRightHandSide, reduceMatrix } from './cotangents.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Barycentric embedding in a circle (Tutte 1963; Floater 1997): with positive weights no triangle of a
 * disk can flip. The border keeps its proportions as far as a strictly convex outline allows.
 *
 * @param edges - what pulls: `polygons` the sides of the faces, which makes all polygons convex on a surface
 * without narrow necks; `stars` also a middle point in each polygon, joined to its corners, with which every
 * polygon comes out simple
 * @param levelWeight - weight of middles and of pairs whose vertices are equally many steps from the border, over
 * that of the other pairs. With equal weights the tip of a closed tube shrinks exponentially with the tube's length,
 * soon below what numbers resolve; low weights round the tube make that a slow decline.
 * @param outline - uv of the border's vertices, in rest units
 */
export function embedBarycentric(
  rest: RestTriangles,
  surface: ChartSurface,
  border: Int32Array,
  edges: 'polygons' | 'stars',
  levelWeight = 1,
  outline = borderCircle(borderLengths(rest, border)),
): Float64Array {
  const { pairs, size } = collectPairs(surface, edges === 'stars');
  const levels = levelWeight === 1 ? undefined : findLevels(pairs, size, border);
  const rows: number[] = [];
  const columns: number[] = [];
  const values: number[] = [];
  for (let p = 0; p < pairs.length; p += 2) {
    const a = pairs[p]!;
    const b = pairs[p + 1]!;
    const isAlong = levels && (levels[a] === levels[b] || b >= surface.vertexCount);
    const weight = isAlong ? levelWeight : 1;
    rows.push(a, a, b);
    columns.push(b, a, b);
    values.push(-weight, weight, weight);
  }
  const matrix = assembleSymmetric(size, rows, columns, values);
  const isBorder = new Uint8Array(size);
  const given = [new Float64Array(size), new Float64Array(size)] as const;
  const uvs = new Float64Array(2 * size);
  border.forEach((v, i) => {
    isBorder[v] = 1;
    for (const axis of [0, 1] as const) uvs[2 * v + axis] = given[axis][v] = outline[2 * i + axis]!;
  });
  const reduced = reduceMatrix(matrix, isBorder);
  if (reduced.fullIndex.length > 0) {
    const solver = new LdlSolver(analyse(reduced.matrix)).factor(reduced.matrix.values);
    for (const axis of [0, 1] as const) {
      const solution = solver.solve(reducedRightHandSide(matrix, reduced, given[axis]));
      reduced.fullIndex.forEach((vertex, i) => {
        uvs[2 * vertex + axis] = solution[i]!;
      });
    }
  }
  return uvs.slice(0, 2 * surface.vertexCount);
}

/** Vertex pairs joined by a side, and with `withMiddles` those of a middle vertex per polygon and its corners. */
function collectPairs(surface: ChartSurface, withMiddles: boolean): { pairs: number[]; size: number } {
  const { faceOffsets, cornerVertices, vertexCount } = surface;
  const pairs: number[] = [];
  const seen = new Set<number>();
  let size = vertexCount;
  for (let f = 0; f < surface.faces.length; f++) {
    const first = faceOffsets[f]!;
    const end = faceOffsets[f + 1]!;
    const middle = withMiddles && end - first > 3 ? size++ : -1;
    for (let c = first; c < end; c++) {
      const a = cornerVertices[c]!;
      const b = cornerVertices[c + 1 === end ? first : c + 1]!;
      if (middle >= 0) pairs.push(a, middle);
      const key = Math.min(a, b) * vertexCount + Math.max(a, b);
      if (seen.has(key)) continue;
      seen.add(key);
      pairs.push(a, b);
    }
  }
  return { pairs, size };
}

/** Steps from the border to each vertex. */
function findLevels(pairs: readonly number[], size: number, border: Int32Array): Int32Array {
  const { starts, members } = listMembers(pairs, size);
  const levels = new Int32Array(size).fill(-1);
  const queue = Array.from(border);
  for (const v of queue) levels[v] = 0;
  for (let head = 0; head < queue.length; head++) {
    const v = queue[head]!;
    for (let p = starts[v]!; p < starts[v + 1]!; p++) {
      const w = pairs[members[p]! ^ 1]!;
      if (levels[w]! >= 0) continue;
      levels[w] = levels[v]! + 1;
      queue.push(w);
    }
  }
  return levels;
}

/** Points on a circle whose area is 1, spaced by length but none closer than a tenth of the mean spacing. */
function borderCircle(lengths: Float64Array): Float64Array {
  const n = lengths.length;
  let sum = 0;
  for (const l of lengths) sum += l;
  const spacing = lengths.map((l) => Math.max(l / sum, 0.1 / n));
  let total = 0;
  for (const s of spacing) total += s;
  const radius = 1 / Math.sqrt(Math.PI);
  const circle = new Float64Array(2 * n);
  let at = 0;
  for (let i = 0; i < n; i++) {
    const angle = (2 * Math.PI * at) / total;
    circle[2 * i] = radius * Math.cos(angle);
    circle[2 * i + 1] = radius * Math.sin(angle);
    at += spacing[i]!;
  }
  return circle;
}
