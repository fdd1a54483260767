import type { JoinedFaces } from './make-marionette.js';

/** Splits quads along the shorter diagonal; mirrored partners are split along mirrored diagonals. */
export function triangulatePairs(quads: JoinedFaces, points: Float64Array): JoinedFaces {
  const { faceVertexIndices, faceParts, facePartners } = quads;
  const faceCount = faceParts.length;
  const triangles = new Int32Array(6 * faceCount);
  const partners = new Int32Array(2 * faceCount);
  const parts = new Int32Array(2 * faceCount);
  const distance = (a: number, b: number) =>
    Math.hypot(
      points[3 * a]! - points[3 * b]!,
      points[3 * a + 1]! - points[3 * b + 1]!,
      points[3 * a + 2]! - points[3 * b + 2]!,
    );
  for (let f = 0; f < faceCount; f++) {
    // The pair's lower face decides; corner k of a face answers to corner [1, 0, 3, 2][k] of its partner.
    const leader = Math.min(f, facePartners[f]!);
    const [p, q, r, s] = faceVertexIndices.subarray(4 * leader, 4 * leader + 4) as unknown as [
      number,
      number,
      number,
      number,
    ];
    const isFirst = distance(p, r) <= distance(q, s) === (leader === f);
    const [a, b, c, d] = faceVertexIndices.subarray(4 * f, 4 * f + 4) as unknown as [
      number,
      number,
      number,
      number,
    ];
    triangles.set(isFirst ? [a, b, c, a, c, d] : [a, b, d, b, c, d], 6 * f);
    for (let half = 0; half < 2; half++) {
      parts[2 * f + half] = faceParts[f]!;
      partners[2 * f + half] = 2 * facePartners[f]! + half;
    }
  }
  return {
    faceVertexIndices: triangles,
    faceParts: parts,
    facePartners: partners,
    pointPartners: quads.pointPartners,
  };
}
