import type { Vec3 } from '../math/index.js';
import { add, length, scale, subtract, vec3At } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import type { Draft } from './draft.js';

/** A ball's points keep to one distance from its middle within this share. */
const ROUNDNESS = 0.12;

/**
 * Names eyeballs: small round shells whose nearest face on another shell belongs to a head, an eye socket, or
 * a shell without names.
 */
export function nameEyes(
  mesh: Mesh,
  shells: readonly { readonly shell: number; readonly faces: Int32Array; readonly area: number }[],
  faceParts: Int32Array,
  drafts: readonly Draft[],
): void {
  const total = shells.reduce((sum, { area }) => sum + area, 0);
  for (const { shell, faces, area } of shells) {
    const draft = drafts[faceParts[faces[0]!]!]!;
    if (draft.name !== 'core' || area > 0.05 * total || faces.length < 12) continue;
    const ball = measureBall(mesh, faces);
    if (!ball) continue;
    const nearest = nearestOther(mesh, shell, ball.middle);
    if (!nearest || nearest.distance > 2 * ball.radius) continue;
    const host = drafts[faceParts[nearest.face]!]!.name;
    if (host !== 'head' && host !== 'socket') continue;
    draft.name = 'eye';
    draft.confidence = 0.8;
  }
}

function measureBall(mesh: Mesh, faces: Int32Array): { middle: Vec3; radius: number } | undefined {
  const points = new Set<number>();
  for (const f of faces)
    for (let c = mesh.faceOffsets[f]!; c < mesh.faceOffsets[f + 1]!; c++) points.add(mesh.cornerPoints[c]!);
  let low: Vec3 = [Infinity, Infinity, Infinity];
  let high: Vec3 = [-Infinity, -Infinity, -Infinity];
  for (const p of points) {
    const at = vec3At(mesh.points, p);
    low = [Math.min(low[0], at[0]), Math.min(low[1], at[1]), Math.min(low[2], at[2])];
    high = [Math.max(high[0], at[0]), Math.max(high[1], at[1]), Math.max(high[2], at[2])];
  }
  const middle = scale(add(low, high), 0.5);
  let sum = 0;
  for (const p of points) sum += length(subtract(vec3At(mesh.points, p), middle));
  const radius = sum / points.size;
  let deviation = 0;
  for (const p of points) deviation += Math.abs(length(subtract(vec3At(mesh.points, p), middle)) - radius);
  return deviation / points.size < ROUNDNESS * radius ? { middle, radius } : undefined;
}

function nearestOther(
  mesh: Mesh,
  shell: number,
  place: Vec3,
): { face: number; distance: number } | undefined {
  let face = -1;
  let distance = Infinity;
  for (let c = 0; c < mesh.cornerCount; c++) {
    const f = mesh.cornerFaces[c]!;
    if (mesh.faceShells[f] === shell) continue;
    const d = length(subtract(vec3At(mesh.points, mesh.cornerPoints[c]!), place));
    if (d < distance) {
      distance = d;
      face = f;
    }
  }
  return face < 0 ? undefined : { face, distance };
}
