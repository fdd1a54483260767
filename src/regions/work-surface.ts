import type { Mesh } from '../mesh/index.js';
import { decimate } from './decimate.js';
import type { TriangleSurface } from './triangle-surface.js';
import { buildTriangleSurface, listTriangles } from './triangle-surface.js';

/** Some faces of a mesh at a resolution fit for searching, with the way back. */
export interface WorkSurface extends TriangleSurface {
  /** The mesh's vertices that belong to the faces, ascending. */
  readonly meshVertices: Int32Array;
  /** The work vertex nearest each of them. */
  readonly nearest: Int32Array;
  /** Writes values given per work vertex at the mesh's vertices. */
  readonly interpolate: (values: Float64Array, out: Float64Array) => void;
}

/** How fine a surface is searched. */
export interface WorkSize {
  /** Fewer triangles than this are split, so that level lines have something to run through. */
  readonly leastTriangles: number;
  /** More vertices than this are simplified to about that number. */
  readonly mostVertices: number;
}

/**
 * Brings faces to triangles of a bounded number: coarse ones are split (without moving anything), dense
 * ones simplified. Vertices are numbered by position, so nothing found on the work surface depends on the
 * caller's numbering.
 */
export function buildWorkSurface(
  mesh: Mesh,
  faces: ArrayLike<number>,
  { leastTriangles, mostVertices }: WorkSize,
): WorkSurface {
  const { soup, meshVertices } = triangulate(mesh, faces, leastTriangles);
  const fine = orderByPosition(soup);
  const names = fine.names.subarray(0, meshVertices.length);
  if (meshVertices.length <= mostVertices) {
    return {
      ...buildTriangleSurface(fine.positions, fine.triangles),
      meshVertices,
      nearest: names,
      interpolate: (values, out) => {
        for (let i = 0; i < meshVertices.length; i++) out[meshVertices[i]!] = values[names[i]!]!;
      },
    };
  }
  const coarse = decimate(fine.positions, fine.triangles, mostVertices);
  const surface = buildTriangleSurface(coarse.positions, coarse.triangles);
  const { corners, weights } = project(fine.positions, coarse.representatives, surface);
  return {
    ...surface,
    meshVertices,
    nearest: names.map((v) => coarse.representatives[v]!),
    interpolate: (values, out) => {
      for (let i = 0; i < meshVertices.length; i++) {
        const v = 3 * names[i]!;
        out[meshVertices[i]!] =
          weights[v]! * values[corners[v]!]! +
          weights[v + 1]! * values[corners[v + 1]!]! +
          weights[v + 2]! * values[corners[v + 2]!]!;
      }
    },
  };
}

interface Soup {
  positions: Float64Array;
  triangles: Int32Array;
  /** Vertex of each mesh vertex; split vertices come after. */
  names: Int32Array;
}

/** Triangles round each polygon's centroid, and split in four until there are enough; dense quads by their shorter diagonal. */
function triangulate(
  mesh: Mesh,
  faces: ArrayLike<number>,
  leastTriangles: number,
): { soup: Soup; meshVertices: Int32Array } {
  const local = new Int32Array(mesh.vertexCount).fill(-1);
  let corners = 0;
  for (let i = 0; i < faces.length; i++) {
    const f = faces[i]!;
    corners += mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!;
    for (let c = mesh.faceOffsets[f]!; c < mesh.faceOffsets[f + 1]!; c++) local[mesh.cornerVertices[c]!] = 0;
  }
  const used: number[] = [];
  for (let v = 0; v < mesh.vertexCount; v++) if (local[v] === 0) local[v] = used.push(v) - 1;
  const isDense = corners - 2 * faces.length >= 1.5 * leastTriangles;
  const points: number[] = [];
  for (const v of used) for (let k = 0; k < 3; k++) points.push(mesh.points[3 * mesh.vertexPoints[v]! + k]!);
  const triangles: number[] = [];
  const polygon: number[] = [];
  for (let i = 0; i < faces.length; i++) {
    const first = mesh.faceOffsets[faces[i]!]!;
    polygon.length = 0;
    let h = first;
    do {
      polygon.push(local[mesh.cornerVertices[h]!]!);
      h = mesh.next[h]!;
    } while (h !== first);
    const [a, b, c, d] = polygon as [number, number, number, number];
    if (polygon.length === 3) triangles.push(a, b, c);
    else if (polygon.length === 4 && isDense) {
      const ac = squaredDistanceBetween(points, a, points, c);
      const bd = squaredDistanceBetween(points, b, points, d);
      if (ac < bd || (ac === bd && lowerOf(points, a, c, b, d))) triangles.push(a, b, c, a, c, d);
      else triangles.push(b, c, d, b, d, a);
    } else {
      const centre = points.length / 3;
      for (let k = 0; k < 3; k++) {
        let sum = 0;
        for (const v of polygon) sum += points[3 * v + k]!;
        points.push(sum / polygon.length);
      }
      for (let j = 0; j < polygon.length; j++)
        triangles.push(centre, polygon[j]!, polygon[(j + 1) % polygon.length]!);
    }
  }
  let positions = Float64Array.from(points);
  let list = Int32Array.from(triangles);
  while (list.length / 3 < leastTriangles) ({ positions, triangles: list } = splitInFour(positions, list));
  const names = Int32Array.from({ length: used.length }, (_, v) => v);
  return { soup: { positions, triangles: list, names }, meshVertices: Int32Array.from(used) };
}

/** Whether the lower end of the diagonal a–c comes before the lower end of b–d, by position. */
function lowerOf(p: ArrayLike<number>, a: number, c: number, b: number, d: number): boolean {
  const lower = (v: number, w: number) => (isBefore(p, v, w) ? v : w);
  return isBefore(p, lower(a, c), lower(b, d));
}

function isBefore(p: ArrayLike<number>, a: number, b: number): boolean {
  for (let k = 0; k < 3; k++) if (p[3 * a + k] !== p[3 * b + k]) return p[3 * a + k]! < p[3 * b + k]!;
  return false;
}

function splitInFour(positions: Float64Array, triangles: Int32Array) {
  const vertexCount = positions.length / 3;
  const middles = new Map<number, number>();
  const added: number[] = [];
  const middle = (a: number, b: number): number => {
    const key = Math.min(a, b) * vertexCount + Math.max(a, b);
    let v = middles.get(key);
    if (v === undefined) {
      v = vertexCount + added.length / 3;
      for (let k = 0; k < 3; k++) added.push((positions[3 * a + k]! + positions[3 * b + k]!) / 2);
      middles.set(key, v);
    }
    return v;
  };
  const out = new Int32Array(4 * triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = triangles[t]!;
    const b = triangles[t + 1]!;
    const c = triangles[t + 2]!;
    const ab = middle(a, b);
    const bc = middle(b, c);
    const ca = middle(c, a);
    out.set([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], 4 * t);
  }
  const all = new Float64Array(positions.length + added.length);
  all.set(positions);
  all.set(added, positions.length);
  return { positions: all, triangles: out };
}

/** Renumbers the vertices by position and sorts the triangles, so that the caller's order leaves no trace. */
function orderByPosition(soup: Soup): Soup {
  const { positions, triangles } = soup;
  const vertexCount = positions.length / 3;
  const order = Int32Array.from({ length: vertexCount }, (_, v) => v).sort(
    (a, b) =>
      positions[3 * a]! - positions[3 * b]! ||
      positions[3 * a + 1]! - positions[3 * b + 1]! ||
      positions[3 * a + 2]! - positions[3 * b + 2]! ||
      a - b,
  );
  const names = new Int32Array(vertexCount);
  const sorted = new Float64Array(positions.length);
  order.forEach((v, rank) => {
    names[v] = rank;
    sorted[3 * rank] = positions[3 * v]!;
    sorted[3 * rank + 1] = positions[3 * v + 1]!;
    sorted[3 * rank + 2] = positions[3 * v + 2]!;
  });
  // Each triangle starts at its lowest vertex; triangles go by their lowest vertex, then by the next one.
  const triangleCount = triangles.length / 3;
  const turned = new Int32Array(triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = names[triangles[t]!]!;
    const b = names[triangles[t + 1]!]!;
    const c = names[triangles[t + 2]!]!;
    turned.set(a < b && a < c ? [a, b, c] : b < c ? [b, c, a] : [c, a, b], t);
  }
  const { offsets, list } = listTriangles(vertexCount, turned);
  const out = new Int32Array(triangles.length);
  let count = 0;
  const isTaken = new Uint8Array(triangleCount);
  for (let v = 0; v < vertexCount; v++) {
    const own: number[] = [];
    for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
      const t = list[i]!;
      if (turned[3 * t] === v && !isTaken[t]) {
        isTaken[t] = 1;
        own.push(t);
      }
    }
    own.sort((s, t) => turned[3 * s + 1]! - turned[3 * t + 1]! || turned[3 * s + 2]! - turned[3 * t + 2]!);
    for (const t of own) {
      out.set(turned.subarray(3 * t, 3 * t + 3), count);
      count += 3;
    }
  }
  return { positions: sorted, triangles: out, names: soup.names.map((v) => names[v]!) };
}

/** Nearest place of every dense vertex on the triangles round its representative. */
function project(
  fine: Float64Array,
  representatives: Int32Array,
  surface: TriangleSurface,
): { corners: Int32Array; weights: Float64Array } {
  const corners = new Int32Array(fine.length);
  const weights = new Float64Array(fine.length);
  const { triangles, positions, triangleOffsets, triangleList } = surface;
  const place = new Float64Array(3);
  for (let v = 0; v < representatives.length; v++) {
    const r = representatives[v]!;
    corners.fill(r, 3 * v, 3 * v + 3);
    weights[3 * v] = 1;
    let best = squaredDistanceBetween(fine, v, positions, r);
    for (let i = triangleOffsets[r]!; i < triangleOffsets[r + 1]!; i++) {
      const t = 3 * triangleList[i]!;
      const distance = nearestOnTriangle(fine, v, positions, triangles, t, place);
      if (distance >= best) continue;
      best = distance;
      for (let k = 0; k < 3; k++) {
        corners[3 * v + k] = triangles[t + k]!;
        weights[3 * v + k] = place[k]!;
      }
    }
  }
  return { corners, weights };
}

/** Barycentric coordinates of the point of triangle `t` nearest to dense vertex `v`; returns the squared distance. */
function nearestOnTriangle(
  fine: Float64Array,
  v: number,
  p: Float64Array,
  triangles: Int32Array,
  t: number,
  out: Float64Array,
): number {
  const a = 3 * triangles[t]!;
  const b = 3 * triangles[t + 1]!;
  const c = 3 * triangles[t + 2]!;
  let uu = 0;
  let uv = 0;
  let vv = 0;
  let wu = 0;
  let wv = 0;
  for (let k = 0; k < 3; k++) {
    const x = p[b + k]! - p[a + k]!;
    const y = p[c + k]! - p[a + k]!;
    const w = fine[3 * v + k]! - p[a + k]!;
    uu += x * x;
    uv += x * y;
    vv += y * y;
    wu += w * x;
    wv += w * y;
  }
  const determinant = uu * vv - uv * uv;
  let s = 0;
  let q = 0;
  if (determinant > 1e-12 * uu * vv) {
    s = (wu * vv - wv * uv) / determinant;
    q = (wv * uu - wu * uv) / determinant;
  }
  if (s < 0 || q < 0 || s + q > 1 || determinant <= 1e-12 * uu * vv) {
    // Nearest point of the three sides.
    let least = Infinity;
    const consider = (x: number, y: number) => {
      const d = x * x * uu + 2 * x * y * uv + y * y * vv - 2 * x * wu - 2 * y * wv;
      if (d < least) {
        least = d;
        s = x;
        q = y;
      }
    };
    const clamp = (x: number) => Math.min(1, Math.max(0, x));
    consider(uu > 0 ? clamp(wu / uu) : 0, 0);
    consider(0, vv > 0 ? clamp(wv / vv) : 0);
    const side = uu - 2 * uv + vv;
    const along = side > 0 ? clamp((uu - uv - wu + wv) / side) : 0;
    consider(1 - along, along);
  }
  out[0] = 1 - s - q;
  out[1] = s;
  out[2] = q;
  let distance = 0;
  for (let k = 0; k < 3; k++) {
    const d = fine[3 * v + k]! - (p[a + k]! * (1 - s - q) + p[b + k]! * s + p[c + k]! * q);
    distance += d * d;
  }
  return distance;
}

function squaredDistanceBetween(p: ArrayLike<number>, a: number, q: ArrayLike<number>, b: number): number {
  const x = p[3 * a]! - q[3 * b]!;
  const y = p[3 * a + 1]! - q[3 * b + 1]!;
  const z = p[3 * a + 2]! - q[3 * b + 2]!;
  return x * x + y * y + z * z;
}
