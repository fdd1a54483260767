import { length, subtract, vec3At } from '../math/index.js';
import type { FaceGeometry } from './geometry.js';
import type { Mesh } from './mesh.js';

/** What findInsideOut looks at; `mates` is the opposite side of each corner's, -1 on a border. */
export type ShellFaces = Pick<
  Mesh,
  'points' | 'faceOffsets' | 'cornerPoints' | 'faceFlipped' | 'faceShells' | 'shellCount'
> & { readonly mates: Int32Array };

/** From how far on a shell's faces look away from its middle or towards it; a ball's do by 0.28. */
const LEAST_LEAN = 0.001;
/** The most border, its square as a share of the area, that leaves an inside and an outside; a flat disk has 4π. */
const MOST_BORDER = 8;
/** Only the largest shells are looked into for others within them. */
const MOST_HOLDERS = 64;

/**
 * 1 per shell whose faces look inwards. One within another, as an eye in its head, goes with that: by itself it may
 * look inwards rightly, as a mouth does.
 */
export function findInsideOut(faces: ShellFaces, geometry: FaceGeometry): Uint8Array {
  const { leans, boxes, sizes } = measureShells(faces, geometry);
  const order = Array.from(leans.keys()).sort(
    (a, b) => sizes[b]! - sizes[a]! || leans[b]! - leans[a]! || a - b,
  );
  const isTurned = new Uint8Array(faces.shellCount);
  const holders: number[] = [];
  for (const s of order) {
    const holder = holders.find((other) => {
      for (let k = 0; k < 6; k++) if (boxes[6 * s + k]! > boxes[6 * other + k]!) return false;
      return true;
    });
    isTurned[s] = holder === undefined ? Number(leans[s]! < 0) : isTurned[holder]!;
    if (leans[s] !== 0 && holders.length < MOST_HOLDERS) holders.push(s);
  }
  return isTurned;
}

/**
 * How far the faces of each shell look away from the middle of its box, as a share of its area to the power 1.5 and 0
 * where that is doubtful; its box, and the three sides of that together.
 */
function measureShells(
  { points, faceOffsets, cornerPoints, faceFlipped, faceShells, shellCount, mates }: ShellFaces,
  { faceNormals, faceAreas, faceCentroids }: FaceGeometry,
) {
  const areas = new Float64Array(shellCount);
  const borders = new Float64Array(shellCount);
  const leans = new Float64Array(shellCount);
  const sizes = new Float64Array(shellCount);
  const vectors = new Float64Array(3 * shellCount);
  /** The highest coordinates, and the lowest with their sign turned. */
  const boxes = new Float64Array(6 * shellCount).fill(-Infinity);
  // Measured from a point of the model, so that little is lost in rounding.
  const origin = vec3At(points, cornerPoints[0]!);
  faceShells.forEach((s, f) => {
    areas[s]! += faceAreas[f]!;
    for (let k = 0; k < 3; k++) {
      const vector = (faceFlipped[f] ? -1 : 1) * faceAreas[f]! * faceNormals[3 * f + k]!;
      vectors[3 * s + k]! += vector;
      leans[s]! += vector * (faceCentroids[3 * f + k]! - origin[k]!);
    }
    for (let c = faceOffsets[f]!, end = faceOffsets[f + 1]!; c < end; c++) {
      const point = vec3At(points, cornerPoints[c]!);
      subtract(point, origin).forEach((x, k) => {
        boxes[6 * s + k] = Math.max(boxes[6 * s + k]!, x);
        boxes[6 * s + 3 + k] = Math.max(boxes[6 * s + 3 + k]!, -x);
      });
      if (mates[c]! >= 0) continue;
      const next = cornerPoints[c + 1 === end ? faceOffsets[f]! : c + 1]!;
      borders[s]! += length(subtract(point, vec3At(points, next)));
    }
  });
  for (let s = 0; s < shellCount; s++) {
    for (let k = 0; k < 3; k++) {
      const [high, low] = [boxes[6 * s + k]!, -boxes[6 * s + 3 + k]!];
      sizes[s]! += high - low;
      leans[s]! -= ((high + low) / 2) * vectors[3 * s + k]!;
    }
    leans[s]! /= areas[s]! ** 1.5;
    if (Math.abs(leans[s]!) < LEAST_LEAN || borders[s]! ** 2 > MOST_BORDER * areas[s]!) leans[s] = 0;
  }
  return { leans, boxes, sizes };
}
