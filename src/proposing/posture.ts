import type { FaceGeometry } from '../mesh/index.js';
import type { PartTree } from '../regions/index.js';

/** How a body stands, and so which of its sides are looked at first. */
export interface Posture {
  /** Whether it lies lengthwise from front to rear, as one on all fours, a bird or a fish. */
  readonly isProne: boolean;
  /** Which way the head lies from the trunk: 1 towards the front, -1 where the caller's front is its rear. */
  readonly heading: 1 | -1;
  /**
   * 1 per face of head and torso that stays whole: what looks to the front of an upright body; the back, brow and
   * nose of a prone one, which opens below.
   */
  readonly isShown: Uint8Array;
}

/** A body with so many legs on one shell is prone, and one whose trunk is so much longer than high. */
const PRONE_LEGS = 4;
const PRONE_LENGTH = 1.5;

/** Finds how a body stands, by the geometry of its canonical mesh: up is +y, front +z. */
export function findPosture(
  { faceNormals, faceCentroids }: FaceGeometry,
  { parts, faceParts }: PartTree,
): Posture {
  // Per part the highest and lowest of y and z.
  const high = [1, 2].map(() => new Float64Array(parts.length).fill(-Infinity));
  const low = [1, 2].map(() => new Float64Array(parts.length).fill(Infinity));
  const length = (part: number, axis: 0 | 1) => high[axis]![part]! - low[axis]![part]!;
  for (let f = 0; f < faceParts.length; f++) {
    const part = faceParts[f]!;
    for (const axis of [0, 1]) {
      const x = faceCentroids[3 * f + 1 + axis]!;
      high[axis]![part] = Math.max(high[axis]![part]!, x);
      low[axis]![part] = Math.min(low[axis]![part]!, x);
    }
  }
  // Boots are legs as well, but of other shells than the trousers'.
  const countLegs = (shell: number) =>
    parts.filter((part) => part.name === 'leg' && part.shell === shell).length;
  const trunk = parts.findIndex(
    ({ name, shell }, i) =>
      name === 'torso' && (countLegs(shell) >= PRONE_LEGS || length(i, 1) > PRONE_LENGTH * length(i, 0)),
  );
  const isProne = trunk >= 0;
  const head = parts.findIndex(({ name }) => name === 'head');
  const middle = (part: number) => high[1]![part]! + low[1]![part]!;
  const heading = isProne && head >= 0 && middle(head) < middle(trunk) ? -1 : 1;
  const isShown = new Uint8Array(faceParts.length);
  for (let f = 0; f < faceParts.length; f++) {
    const part = faceParts[f]!;
    const { name } = parts[part]!;
    const above = faceNormals[3 * f + 1]!;
    const facing = heading * faceNormals[3 * f + 2]!;
    const ahead = (faceCentroids[3 * f + 2]! - low[1]![part]!) / length(part, 1);
    const isFace = (heading > 0 ? ahead : 1 - ahead) > 0.5 && facing > 0.1;
    if (isProne) {
      if (name === 'head' ? above > 0.15 || (isFace && above > -0.3) : name === 'torso' && above > 0.15)
        isShown[f] = 1;
    } else if (name === 'head' ? isFace : name === 'torso' && facing > 0.15) isShown[f] = 1;
  }
  return { isProne, heading, isShown };
}
