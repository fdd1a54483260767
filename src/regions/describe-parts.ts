import type { AxisFrame } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { dot, normalize, scale, subtract, vec3At } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import type { Draft } from './draft.js';
import type { LimbProfile } from './limb-profile.js';
import type { Part, PartAxis, PartName } from './part.js';

const LIMBS = new Set<PartName>([
  'arm',
  'upper-arm',
  'forearm',
  'hand',
  'finger',
  'leg',
  'thigh',
  'shin',
  'foot',
  'toe',
  'wing',
]);

/** Measures the finished parts: area, base edges, centre line, inner direction. */
export function describeParts(
  mesh: Mesh,
  faceAreas: Float64Array,
  faceParts: Int32Array,
  drafts: readonly Draft[],
  frame: AxisFrame,
): Part[] {
  const areas = new Float64Array(drafts.length);
  for (let f = 0; f < mesh.faceCount; f++) areas[faceParts[f]!]! += faceAreas[f]!;
  const bases = findBases(mesh, faceParts, drafts);
  const middle = coreCentroid(mesh, faceAreas, faceParts, drafts);
  return drafts.map((draft, i): Part => {
    const axis = draft.profile && cutAxis(draft.profile, draft.from, draft.to);
    return {
      name: draft.name,
      side: draft.side,
      digit: draft.digit,
      order: draft.order,
      confidence: draft.confidence,
      parent: draft.parent,
      partner: draft.partner,
      shell: draft.shell,
      area: areas[i]!,
      tip: draft.tip,
      base: bases[i]!,
      axis,
      inner: axis && LIMBS.has(draft.name) ? innerDirection(axis, middle, frame) : undefined,
    };
  });
}

/** Edges between each part and its parent; for a part without one, all edges to parts without one. */
function findBases(mesh: Mesh, faceParts: Int32Array, drafts: readonly Draft[]): number[][] {
  const bases: number[][] = drafts.map(() => []);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const t = mesh.twin[h]!;
    if (t < 0) continue;
    const a = faceParts[mesh.cornerFaces[h]!]!;
    const b = faceParts[mesh.cornerFaces[t]!]!;
    if (a === b) continue;
    const areRoots = drafts[a]!.parent < 0 && drafts[b]!.parent < 0;
    if (drafts[a]!.parent === b || areRoots) bases[a]!.push(e);
    if (drafts[b]!.parent === a || areRoots) bases[b]!.push(e);
  }
  return bases;
}

function cutAxis({ step, girths, centres }: LimbProfile, from: number, to: number): PartAxis | undefined {
  const points: number[] = [];
  const own: number[] = [];
  for (let i = 0; i < girths.length; i++) {
    const level = (i + 0.5) * step;
    if (level < from || level > to || !(girths[i]! > 0)) continue;
    points.push(centres[3 * i]!, centres[3 * i + 1]!, centres[3 * i + 2]!);
    own.push(girths[i]!);
  }
  return own.length < 2 ? undefined : { points: Float64Array.from(points), girths: Float64Array.from(own) };
}

/** Square to the limb, towards the middle of the body and, for a raised limb, downwards. */
function innerDirection(axis: PartAxis, middle: Vec3, frame: AxisFrame): Vec3 {
  const last = axis.girths.length - 1;
  const along = normalize(subtract(vec3At(axis.points, last), vec3At(axis.points, 0)));
  const centre = vec3At(axis.points, last >> 1);
  const sideways = dot(subtract(middle, centre), frame.side) >= 0 ? 1 : -1;
  const wanted = subtract(scale(frame.side, sideways), scale(frame.up, 0.5));
  return normalize(subtract(wanted, scale(along, dot(wanted, along))));
}

/** Area centroid of the parts without a parent. */
function coreCentroid(
  mesh: Mesh,
  faceAreas: Float64Array,
  faceParts: Int32Array,
  drafts: readonly Draft[],
): Vec3 {
  const sum: [number, number, number] = [0, 0, 0];
  let area = 0;
  for (let f = 0; f < mesh.faceCount; f++) {
    if (drafts[faceParts[f]!]!.parent >= 0) continue;
    const first = mesh.faceOffsets[f]!;
    const count = mesh.faceOffsets[f + 1]! - first;
    area += faceAreas[f]!;
    for (let c = first; c < first + count; c++)
      for (let k = 0; k < 3; k++)
        sum[k]! += (faceAreas[f]! * mesh.points[3 * mesh.cornerPoints[c]! + k]!) / count;
  }
  return scale(sum, 1 / (area || 1));
}
