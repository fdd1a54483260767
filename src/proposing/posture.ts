import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';
import type { PartTree } from '../regions/index.js';

/** How a body stands, and so which of its sides are looked at first. */
export interface Posture {
  readonly isOnAllFours: boolean;
  /** Which way the head lies from the trunk: 1 towards the front, -1 where the caller's front is its rear. */
  readonly heading: 1 | -1;
  /**
   * 1 per face of head and torso that stays whole: what looks to the front of an upright body; the back, brow and
   * nose of one on all fours, which opens below.
   */
  readonly isShown: Uint8Array;
}

/** Legs of one shell from which on a body is taken to stand on all fours. */
const ALL_FOURS = 4;

/** Finds how a body stands; the mesh is canonical, up +y and front +z. */
export function findPosture(mesh: Mesh, { parts, faceParts }: PartTree): Posture {
  const { faceNormals, faceAreas, faceCentroids } = computeFaceGeometry(mesh);
  // Boots are legs as well, but of other shells than the trousers'.
  const legs = parts.filter((part) => part.name === 'leg');
  const isOnAllFours = legs.some(
    ({ shell }) => legs.filter((leg) => leg.shell === shell).length >= ALL_FOURS,
  );
  const back = new Float64Array(parts.length).fill(Infinity);
  const front = new Float64Array(parts.length).fill(-Infinity);
  const depth = { head: 0, torso: 0 };
  const area = { head: 0, torso: 0 };
  for (let f = 0; f < mesh.faceCount; f++) {
    const z = faceCentroids[3 * f + 2]!;
    const part = faceParts[f]!;
    back[part] = Math.min(back[part]!, z);
    front[part] = Math.max(front[part]!, z);
    const { name } = parts[part]!;
    if (name !== 'head' && name !== 'torso') continue;
    depth[name] += faceAreas[f]! * z;
    area[name] += faceAreas[f]!;
  }
  const heading = isOnAllFours && depth.head * area.torso < depth.torso * area.head ? -1 : 1;
  const isShown = new Uint8Array(mesh.faceCount);
  for (let f = 0; f < mesh.faceCount; f++) {
    const part = faceParts[f]!;
    const { name } = parts[part]!;
    const above = faceNormals[3 * f + 1]!;
    const facing = heading * faceNormals[3 * f + 2]!;
    const ahead = (faceCentroids[3 * f + 2]! - back[part]!) / (front[part]! - back[part]!);
    const isFace = (heading > 0 ? ahead : 1 - ahead) > 0.5 && facing > 0.1;
    if (isOnAllFours) {
      if (name === 'head' ? above > 0.15 || (isFace && above > -0.3) : name === 'torso' && above > 0.15)
        isShown[f] = 1;
    } else if (name === 'head' ? isFace : name === 'torso' && facing > 0.15) isShown[f] = 1;
  }
  return { isOnAllFours, heading, isShown };
}
