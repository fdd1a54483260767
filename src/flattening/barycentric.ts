import { analyse, assembleSymmetric, LdlSolver } from '../linalg/index.js';
import type { ChartSurface } from '../mesh/index.js';
import { borderLengths } from './boundary-first.js';
import { reducedRightHandSide, reduceMatrix } from './cotangents.js';
import type { RestTriangles } from './rest-triangles.js';

/**
 * Barycentric embedding in a circle (Tutte 1963; Floater 1997): with positive weights no triangle of a
 * disk can flip. The border keeps its proportions as far as a strictly convex outline allows.
 *
 * `edges`: which pairs of vertices pull at one another, `polygons` the sides of the faces (convex polygons
 * on a surface without narrow necks), `triangles` the sides of one triangulation (always positive).
 */
export function embedBarycentric(
  rest: RestTriangles,
  surface: ChartSurface,
  border: Int32Array,
  edges: 'polygons' | 'triangles',
): Float64Array {
  const n = rest.vertexCount;
  const pairs = edges === 'polygons' ? polygonSides(surface) : triangleSides(rest);
  const rows: number[] = [];
  const columns: number[] = [];
  const values: number[] = [];
  for (const key of pairs) {
    const a = Math.floor(key / n);
    const b = key % n;
    rows.push(a, a, b);
    columns.push(b, a, b);
    values.push(-1, 1, 1);
  }
  const matrix = assembleSymmetric(n, rows, columns, values);
  const isBorder = new Uint8Array(n);
  const circle = borderCircle(borderLengths(rest, border));
  const given = [new Float64Array(n), new Float64Array(n)] as const;
  border.forEach((v, i) => {
    isBorder[v] = 1;
    given[0][v] = circle[2 * i]!;
    given[1][v] = circle[2 * i + 1]!;
  });
  const uvs = new Float64Array(2 * n);
  for (const v of border) {
    uvs[2 * v] = given[0][v]!;
    uvs[2 * v + 1] = given[1][v]!;
  }
  const reduced = reduceMatrix(matrix, isBorder);
  if (reduced.fullIndex.length === 0) return uvs;
  const solver = new LdlSolver(analyse(reduced.matrix)).factor(reduced.matrix.values);
  const [u, v] = solver.solve2(
    reducedRightHandSide(matrix, reduced, given[0]),
    reducedRightHandSide(matrix, reduced, given[1]),
  );
  reduced.fullIndex.forEach((vertex, i) => {
    uvs[2 * vertex] = u[i]!;
    uvs[2 * vertex + 1] = v[i]!;
  });
  return uvs;
}

function polygonSides(surface: ChartSurface): Set<number> {
  const keys = new Set<number>();
  const n = surface.vertexCount;
  for (let f = 0; f < surface.faces.length; f++) {
    const first = surface.faceOffsets[f]!;
    const end = surface.faceOffsets[f + 1]!;
    for (let c = first; c < end; c++) {
      const a = surface.cornerVertices[c]!;
      const b = surface.cornerVertices[c + 1 === end ? first : c + 1]!;
      keys.add(Math.min(a, b) * n + Math.max(a, b));
    }
  }
  return keys;
}

function triangleSides(rest: RestTriangles): Set<number> {
  const keys = new Set<number>();
  const n = rest.vertexCount;
  for (let t = 0; t < rest.triangleCount; t++) {
    if (!rest.isCore[t]) continue;
    for (let k = 0; k < 3; k++) {
      const a = rest.triangleVertices[3 * t + k]!;
      const b = rest.triangleVertices[3 * t + ((k + 1) % 3)]!;
      keys.add(Math.min(a, b) * n + Math.max(a, b));
    }
  }
  return keys;
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
