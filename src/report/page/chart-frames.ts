import { Matrix4, Quaternion, Vector3 } from 'three';
import type { ReviewSet } from '../review/review-model.js';
import type { PageMesh } from './page-mesh.js';

/** How far the surface is opened: flattened where it is, then carried to the sheet; both 0..1. */
export interface Unfolding {
  readonly open: number;
  readonly carry: number;
}

/** A slider's position 0..1 as the two steps, which overlap a little. */
export function unfoldingAt(share: number): Unfolding {
  const ease = (x: number) => {
    const t = Math.min(1, Math.max(0, x));
    return t * t * (3 - 2 * t);
  };
  return { open: ease(share / 0.6), carry: ease((share - 0.5) / 0.5) };
}

/** How far charts move outwards while they open, so that they do not cut into one another; as in the shaders. */
const SPREAD = 0.35;

/** Texels for each chart, and charts in a row of the texture. */
export const FRAME_TEXELS = 3;
export const FRAME_ROW = 512;

/**
 * Where each chart would lie flat nearest to its place on the model. 12 numbers for each chart: centre on the
 * model, page units per UV unit; turn from the sheet's plane as a quaternion; centre on the sheet.
 */
export interface ChartFrames {
  readonly values: Float32Array;
  readonly rowCount: number;
  /** Page units for each UV unit on the sheet: the model's own scale. */
  readonly sheetSize: number;
  readonly sheetCentre: readonly [number, number];
  /** Squares across and up. */
  readonly tiles: readonly [number, number];
}

/** The frames of a set. */
export function computeChartFrames(mesh: PageMesh, set: ReviewSet): ChartFrames {
  const { uvs, faceCharts } = set;
  const chartCount = Math.max(1, set.charts.length);
  const sums = new Float64Array(12 * chartCount);
  const counts = new Float64Array(chartCount);
  const areas = measureAreas(mesh, set, chartCount);
  const tiles: [number, number] = [1, 1];
  const eachCorner = (visit: (chart: number, u: number, v: number, p: number) => void) => {
    for (let c = 0; c < mesh.cornerPoints.length; c++) {
      const chart = faceCharts[mesh.cornerFaces[c]!]!;
      const u = uvs[2 * c]!;
      if (chart >= 0 && Number.isFinite(u)) visit(chart, u, uvs[2 * c + 1]!, 3 * mesh.cornerPoints[c]!);
    }
  };
  eachCorner((chart, u, v, p) => {
    counts[chart]!++;
    for (let k = 0; k < 3; k++) sums[12 * chart + k]! += mesh.positions[p + k]!;
    sums[12 * chart + 3]! += u;
    sums[12 * chart + 4]! += v;
    if (u > tiles[0] + 1e-4) tiles[0] = Math.ceil(u - 1e-4);
    if (v > tiles[1] + 1e-4) tiles[1] = Math.ceil(v - 1e-4);
  });
  for (let i = 0; i < chartCount; i++) for (let k = 0; k < 5; k++) sums[12 * i + k]! /= counts[i] || 1;
  eachCorner((chart, u, v, p) => {
    const o = 12 * chart;
    for (let k = 0; k < 3; k++) {
      const d = mesh.positions[p + k]! - sums[o + k]!;
      sums[o + 5 + k]! += (u - sums[o + 3]!) * d;
      sums[o + 8 + k]! += (v - sums[o + 4]!) * d;
    }
  });
  const rowCount = Math.ceil(chartCount / FRAME_ROW);
  const values = new Float32Array(4 * FRAME_TEXELS * FRAME_ROW * rowCount);
  const turn = new Quaternion();
  for (let i = 0; i < chartCount; i++) {
    const o = 12 * i;
    const [across, up] = nearestAxes(
      new Vector3(sums[o + 5]!, sums[o + 6]!, sums[o + 7]!),
      new Vector3(sums[o + 8]!, sums[o + 9]!, sums[o + 10]!),
    );
    turn.setFromRotationMatrix(new Matrix4().makeBasis(across, up, across.clone().cross(up)));
    // The shorter of the two ways round to the sheet.
    const sign = turn.w < 0 ? -1 : 1;
    const size = Math.sqrt(areas[2 * i]! / areas[2 * i + 1]!) || 1;
    values.set([sums[o]!, sums[o + 1]!, sums[o + 2]!, size], o);
    values.set([sign * turn.x, sign * turn.y, sign * turn.z, sign * turn.w], o + 4);
    values.set([sums[o + 3]!, sums[o + 4]!, 0, 0], o + 8);
  }
  let surface = 0;
  let covered = 0;
  for (let i = 0; i < chartCount; i++) {
    surface += areas[2 * i]!;
    covered += areas[2 * i + 1]!;
  }
  const sheetSize = Math.sqrt(surface / covered) || 1;
  return { values, rowCount, sheetSize, sheetCentre: [tiles[0] / 2, tiles[1] / 2], tiles };
}

/** Area on the model and on the sheet of each chart. */
function measureAreas(mesh: PageMesh, { uvs, faceCharts }: ReviewSet, chartCount: number): Float64Array {
  const areas = new Float64Array(2 * chartCount);
  const { triangles, cornerPoints, positions } = mesh;
  const [u, v, w] = [new Vector3(), new Vector3(), new Vector3()];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!];
    const chart = faceCharts[mesh.cornerFaces[a]!]!;
    if (chart < 0 || !Number.isFinite(uvs[2 * a]!)) continue;
    u.fromArray(positions, 3 * cornerPoints[a]!);
    v.fromArray(positions, 3 * cornerPoints[b]!).sub(u);
    w.fromArray(positions, 3 * cornerPoints[c]!).sub(u);
    areas[2 * chart]! += v.cross(w).length() / 2;
    const [x, y] = [uvs[2 * a]!, uvs[2 * a + 1]!];
    areas[2 * chart + 1]! +=
      Math.abs((uvs[2 * b]! - x) * (uvs[2 * c + 1]! - y) - (uvs[2 * b + 1]! - y) * (uvs[2 * c]! - x)) / 2;
  }
  return areas;
}

/** The two orthogonal unit vectors nearest to a pair: a few steps that even out both. */
function nearestAxes(a: Vector3, b: Vector3): [Vector3, Vector3] {
  if (a.length() < 1e-12) a.set(1, 0, 0);
  if (b.length() < 1e-12) b.set(0, 1, 0);
  a.normalize();
  b.normalize();
  for (let i = 0; i < 8; i++) {
    const lean = a.dot(b) / 2;
    const old = a.clone();
    a.addScaledVector(b, -lean).normalize();
    b.addScaledVector(old, -lean).normalize();
  }
  b.addScaledVector(a, -a.dot(b));
  if (b.length() < 1e-6) b.set(-a.y, a.x, 0.1);
  return [a, b.addScaledVector(a, -a.dot(b)).normalize()];
}

/** Where a corner is drawn, in page units; the same sum as in the shaders. */
export function placeCorner(
  mesh: PageMesh,
  set: ReviewSet,
  frames: ChartFrames,
  corner: number,
  { open, carry }: Unfolding,
): Vector3 {
  const position = new Vector3().fromArray(mesh.positions, 3 * mesh.cornerPoints[corner]!);
  const chart = set.faceCharts[mesh.cornerFaces[corner]!]!;
  if (open === 0 || chart < 0) return position;
  const o = 12 * chart;
  const { values, sheetSize, sheetCentre } = frames;
  const centre = new Vector3(values[o]!, values[o + 1]!, values[o + 2]!);
  const size = values[o + 3]!;
  const turn = new Quaternion(values[o + 4]!, values[o + 5]!, values[o + 6]!, values[o + 7]!);
  const flat = new Vector3(
    (set.uvs[2 * corner]! - values[o + 8]!) * size,
    (set.uvs[2 * corner + 1]! - values[o + 9]!) * size,
    0,
  );
  const local = position.sub(centre).applyQuaternion(turn.clone().conjugate()).lerp(flat, open);
  const onSheet = new Vector3(
    (values[o + 8]! - sheetCentre[0]) * sheetSize,
    (values[o + 9]! - sheetCentre[1]) * sheetSize,
    0,
  );
  const still = new Quaternion(
    turn.x * (1 - carry),
    turn.y * (1 - carry),
    turn.z * (1 - carry),
    turn.w * (1 - carry) + carry,
  ).normalize();
  return local
    .multiplyScalar(1 + (sheetSize / size - 1) * carry)
    .applyQuaternion(still)
    .add(centre.multiplyScalar(1 + SPREAD * open).lerp(onSheet, carry));
}
