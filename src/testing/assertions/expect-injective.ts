import type { Vec3 } from '../../math/index.js';
import { add, cross, length, subtract, vec3At } from '../../math/index.js';
import type { MeshInput } from '../../mesh/index.js';
import { MeshAssertionError } from './assertion-error.js';

export interface ExpectInjectiveOptions {
  /**
   * Depth to which triangles may overlap, as a share of the layout's larger side: neighbours that share an
   * edge always touch within rounding.
   * @defaultValue 1e-9
   */
  readonly tolerance?: number;
  /** Faces to look at, such as one chart's; all of them by default. */
  readonly faces?: ArrayLike<number>;
}

/** A triangle of the layout: its face, its corners' uv, counter-clockwise. */
interface UvTriangle {
  readonly face: number;
  readonly uv: readonly number[];
}

/**
 * Asserts that a layout is one to one: no face turned over or collapsed to a line or point, no two faces on top of
 * each other, within a chart or between charts. `uvs` holds two numbers per corner of the mesh, in its order. Polygons are
 * taken as fans from their first corner.
 */
export function expectInjective(
  mesh: MeshInput,
  uvs: ArrayLike<number>,
  options: ExpectInjectiveOptions = {},
): void {
  const { faceVertexCounts, faceVertexIndices } = mesh;
  if (uvs.length !== 2 * faceVertexIndices.length) {
    throw new MeshAssertionError(
      'expectInjective',
      `uvs has ${uvs.length} numbers, expected 2 for each of ${faceVertexIndices.length} corners`,
      uvs.length,
      2 * faceVertexIndices.length,
    );
  }
  const isChosen = chooseFaces(options.faces, faceVertexCounts.length);
  const triangles: UvTriangle[] = [];
  let [low, high] = [Infinity, -Infinity];
  for (let f = 0, c = 0; f < faceVertexCounts.length; c += faceVertexCounts[f]!, f++) {
    if (!isChosen[f]) continue;
    for (let k = 1; k + 1 < faceVertexCounts[f]!; k++) {
      const uv = [c, c + k, c + k + 1].flatMap((corner) => [uvs[2 * corner]!, uvs[2 * corner + 1]!]);
      if (!uv.every(Number.isFinite))
        throw new MeshAssertionError(
          'expectInjective',
          `face ${f} has UVs that are no numbers`,
          uv,
          'finite numbers',
        );
      triangles.push({ face: f, uv });
      low = Math.min(low, ...uv);
      high = Math.max(high, ...uv);
    }
  }
  const slack = (options.tolerance ?? 1e-9) * (high - low);
  const turned = triangles.find(({ uv }) => doubleArea(uv) < -slack * (high - low));
  if (turned) {
    throw new MeshAssertionError(
      'expectInjective',
      `face ${turned.face} is turned over in the layout`,
      doubleArea(turned.uv) / 2,
      'a positive area',
    );
  }
  const collapsed = findCollapsed(mesh, uvs, isChosen);
  if (collapsed >= 0) {
    throw new MeshAssertionError(
      'expectInjective',
      `face ${collapsed} has an area in space and none in the layout`,
      0,
      'a positive area',
    );
  }
  const pair = findOverlap(triangles, slack);
  if (pair) {
    throw new MeshAssertionError(
      'expectInjective',
      `faces ${pair[0].face} and ${pair[1].face} overlap in the layout`,
      [pair[0].uv, pair[1].uv],
      'no overlap',
    );
  }
}

function chooseFaces(faces: ArrayLike<number> | undefined, faceCount: number): Uint8Array {
  const isChosen = new Uint8Array(faceCount).fill(faces ? 0 : 1);
  if (faces) for (let i = 0; i < faces.length; i++) isChosen[faces[i]!] = 1;
  return isChosen;
}

/** Twice the area over the square of the longest side, below which a face counts as collapsed, in space and in uv. */
const FLAT_IN_SPACE = 1e-9;
const FLAT_IN_UV = 1e-12;

/** The first face that covers something in space and nothing in the layout, -1 for none. */
function findCollapsed(
  { points, faceVertexCounts, faceVertexIndices }: MeshInput,
  uvs: ArrayLike<number>,
  isChosen: Uint8Array,
): number {
  for (let f = 0, c = 0; f < faceVertexCounts.length; c += faceVertexCounts[f]!, f++) {
    if (!isChosen[f]) continue;
    const corners = Array.from({ length: faceVertexCounts[f]! }, (_, k) => c + k);
    const inUv = corners.map((corner): Vec3 => [uvs[2 * corner]!, uvs[2 * corner + 1]!, 0]);
    if (measureFatness(inUv) > FLAT_IN_UV) continue;
    const inSpace = corners.map((corner) => vec3At(points, faceVertexIndices[corner]!));
    if (measureFatness(inSpace) > FLAT_IN_SPACE) return f;
  }
  return -1;
}

/** Twice the area of a polygon over the square of its longest side, 0 for a point. */
function measureFatness(polygon: readonly Vec3[]): number {
  let normal: Vec3 = [0, 0, 0];
  let longest = 0;
  polygon.forEach((p, k) => {
    const q = polygon[(k + 1) % polygon.length]!;
    normal = add(normal, cross(subtract(p, polygon[0]!), subtract(q, polygon[0]!)));
    longest = Math.max(longest, length(subtract(q, p)));
  });
  return longest > 0 ? length(normal) / (longest * longest) : 0;
}

const doubleArea = ([ax, ay, bx, by, cx, cy]: readonly number[]): number =>
  (bx! - ax!) * (cy! - ay!) - (by! - ay!) * (cx! - ax!);

/** The first pair of triangles that overlap deeper than `slack`, found by sweeping along u. */
function findOverlap(
  triangles: readonly UvTriangle[],
  slack: number,
): readonly [UvTriangle, UvTriangle] | undefined {
  const boxes = triangles.map((triangle, index) => ({
    triangle,
    index,
    left: Math.min(triangle.uv[0]!, triangle.uv[2]!, triangle.uv[4]!),
    right: Math.max(triangle.uv[0]!, triangle.uv[2]!, triangle.uv[4]!),
    low: Math.min(triangle.uv[1]!, triangle.uv[3]!, triangle.uv[5]!),
    high: Math.max(triangle.uv[1]!, triangle.uv[3]!, triangle.uv[5]!),
  }));
  // A sweep over u with rows over v: each triangle is compared with those of its rows that it meets.
  boxes.sort((a, b) => a.left - b.left || a.index - b.index);
  const bottom = boxes.reduce((least, { low }) => Math.min(least, low), Infinity);
  const top = boxes.reduce((most, { high }) => Math.max(most, high), -Infinity);
  const rowCount = Math.max(1, Math.ceil(Math.sqrt(boxes.length)));
  const rowHeight = (top - bottom) / rowCount || 1;
  const rows: (typeof boxes)[] = Array.from({ length: rowCount }, () => []);
  for (const box of boxes) {
    const from = Math.max(0, Math.min(rowCount - 1, Math.floor((box.low - bottom) / rowHeight)));
    const to = Math.max(0, Math.min(rowCount - 1, Math.floor((box.high - bottom) / rowHeight)));
    for (let row = from; row <= to; row++) {
      const open = rows[row]!.filter((other) => other.right > box.left + slack);
      for (const other of open) {
        if (other.high <= box.low + slack || box.high <= other.low + slack) continue;
        if (overlaps(box.triangle.uv, other.triangle.uv, slack)) return [other.triangle, box.triangle];
      }
      open.push(box);
      rows[row] = open;
    }
  }
  return undefined;
}

/** Whether two counter-clockwise triangles overlap: no side of either has the other wholly beyond it. */
function overlaps(a: readonly number[], b: readonly number[], slack: number): boolean {
  return !isParted(a, b, slack) && !isParted(b, a, slack);
}

function isParted(a: readonly number[], b: readonly number[], slack: number): boolean {
  for (let k = 0; k < 3; k++) {
    const [px, py] = [a[2 * k]!, a[2 * k + 1]!];
    const [qx, qy] = [a[(2 * k + 2) % 6]!, a[(2 * k + 3) % 6]!];
    const length = Math.hypot(qx - px, qy - py);
    // A side without length parts nothing, but a triangle without area covers nothing either.
    if (length === 0) return true;
    let deepest = -Infinity;
    for (let v = 0; v < 6; v += 2)
      deepest = Math.max(deepest, ((qx - px) * (b[v + 1]! - py) - (qy - py) * (b[v]! - px)) / length);
    if (deepest <= slack) return true;
  }
  return false;
}
