import { cross, dot, subtract, vec3At } from '../math/index.js';
import { DisjointSet } from '../structures/index.js';

/** Which half-edges face one another, and which faces must turn so that neighbours agree. */
export interface Pairing {
  /** Opposite corner-edge in the caller's corner order: the edge from corner c to its successor; -1 for none. */
  readonly mates: Int32Array;
  readonly faceFlipped: Uint8Array;
  /** Corner-edges of edges with three faces or more; those without a mate stay open. */
  readonly nonManifold: readonly number[];
  /** Corner-edges where a one-sided loop had to be opened. */
  readonly oneSided: readonly number[];
}

interface Faces {
  readonly faceOffsets: Int32Array;
  readonly cornerFaces: Int32Array;
  /** Welded vertex class of each corner. */
  readonly cornerClasses: Int32Array;
  readonly faceAreas: Float64Array;
  /** In the caller's order of corners. */
  readonly faceNormals: Float64Array;
  readonly points: Float64Array;
  readonly cornerPoints: Int32Array;
}

/**
 * Pairs the faces' edges by their welded end points and orients every shell to its majority by area. Of three faces
 * and more on an edge those are paired that share the caller's own points, then those that run on most smoothly.
 */
export function pairHalfEdges(faces: Faces): Pairing {
  const { faceOffsets, cornerFaces, cornerClasses } = faces;
  const cornerCount = cornerFaces.length;
  const successor = (c: number) => {
    const face = cornerFaces[c]!;
    return c + 1 === faceOffsets[face + 1]! ? faceOffsets[face]! : c + 1;
  };
  const low = new Int32Array(cornerCount);
  const high = new Int32Array(cornerCount);
  for (let c = 0; c < cornerCount; c++) {
    const a = cornerClasses[c]!;
    const b = cornerClasses[successor(c)]!;
    low[c] = Math.min(a, b);
    high[c] = Math.max(a, b);
  }
  const order = new Int32Array(cornerCount);
  for (let c = 0; c < cornerCount; c++) order[c] = c;
  order.sort((a, b) => low[a]! - low[b]! || high[a]! - high[b]! || a - b);

  const mates = new Int32Array(cornerCount).fill(-1);
  const nonManifold: number[] = [];
  for (let i = 0; i < cornerCount; ) {
    let j = i + 1;
    while (j < cornerCount && low[order[j]!] === low[order[i]!] && high[order[j]!] === high[order[i]!]) j++;
    if (j - i === 2 && cornerFaces[order[i]!] !== cornerFaces[order[i + 1]!]) {
      mates[order[i]!] = order[i + 1]!;
      mates[order[i + 1]!] = order[i]!;
    } else if (j - i > 2) {
      const sides = [...order.subarray(i, j)];
      nonManifold.push(...sides);
      for (const [c, d] of pairSides(faces, sides, successor)) {
        mates[c] = d;
        mates[d] = c;
      }
    }
    i = j;
  }
  const { faceFlipped, oneSided } = orientFaces(faces, mates, successor);
  for (const c of oneSided) {
    mates[mates[c]!] = -1;
    mates[c] = -1;
  }
  return { mates, faceFlipped, nonManifold, oneSided };
}

/** Sides of one edge that run in opposite directions, each with the one it runs on to; some may be left. */
function pairSides(
  { cornerFaces, cornerClasses, faceNormals, points, cornerPoints }: Faces,
  sides: readonly number[],
  successor: (c: number) => number,
): (readonly [number, number])[] {
  const rank = (c: number, d: number): number => {
    const [n, m] = [vec3At(faceNormals, cornerFaces[c]!), vec3At(faceNormals, cornerFaces[d]!)];
    const [a, b] = [cornerPoints[c]!, cornerPoints[successor(c)]!];
    const isOwn = cornerPoints[d] === b && cornerPoints[successor(d)] === a;
    // At the same angle an edge that sticks out comes first: two boxes that touch stay two.
    const isConvex = dot(cross(n, m), subtract(vec3At(points, b), vec3At(points, a))) > 0;
    return (isOwn ? 4 : 0) + dot(n, m) + (isConvex ? 1e-6 : 0);
  };
  const pairs: (readonly [number, number, number])[] = [];
  for (const c of sides)
    for (const d of sides)
      if (c < d && cornerClasses[c] !== cornerClasses[d] && cornerFaces[c] !== cornerFaces[d])
        pairs.push([c, d, rank(c, d)]);
  pairs.sort((p, q) => q[2] - p[2] || p[0] - q[0] || p[1] - q[1]);
  const isTaken = new Set<number>();
  return pairs.flatMap(([c, d]) => {
    if (isTaken.has(c) || isTaken.has(d)) return [];
    isTaken.add(c).add(d);
    return [[c, d] as const];
  });
}

function orientFaces(
  faces: Faces,
  mates: Int32Array,
  successor: (c: number) => number,
): { faceFlipped: Uint8Array; oneSided: number[] } {
  const { faceOffsets, cornerFaces, cornerClasses, faceAreas } = faces;
  const faceCount = faceOffsets.length - 1;
  const faceFlipped = new Uint8Array(faceCount);
  const isSeen = new Uint8Array(faceCount);
  const oneSided: number[] = [];
  const queue = new Int32Array(faceCount);
  // Two faces agree when the shared edge runs in opposite directions round them.
  const isReversed = (c: number, mate: number) =>
    cornerClasses[c] === cornerClasses[mate] &&
    cornerClasses[successor(c)] === cornerClasses[successor(mate)];
  for (let seed = 0; seed < faceCount; seed++) {
    if (isSeen[seed]) continue;
    isSeen[seed] = 1;
    let head = 0;
    let tail = 0;
    queue[tail++] = seed;
    let flippedArea = 0;
    let keptArea = 0;
    while (head < tail) {
      const face = queue[head++]!;
      if (faceFlipped[face]) flippedArea += faceAreas[face]!;
      else keptArea += faceAreas[face]!;
      for (let c = faceOffsets[face]!; c < faceOffsets[face + 1]!; c++) {
        const mate = mates[c]!;
        if (mate < 0) continue;
        const neighbour = cornerFaces[mate]!;
        const wanted = (faceFlipped[face]! ^ (isReversed(c, mate) ? 1 : 0)) as 0 | 1;
        if (!isSeen[neighbour]) {
          isSeen[neighbour] = 1;
          faceFlipped[neighbour] = wanted;
          queue[tail++] = neighbour;
        } else if (faceFlipped[neighbour] !== wanted && c < mate) oneSided.push(c);
      }
    }
    // A tie within rounding goes to the lowest face, or turning the model would turn its faces over.
    if (flippedArea > keptArea * (1 + 1e-9)) for (let i = 0; i < tail; i++) faceFlipped[queue[i]!]! ^= 1;
  }
  return { faceFlipped, oneSided };
}

/** Joins corners that meet at a vertex by walking across paired half-edges: the fan of faces round each vertex. */
export function findFans(twin: Int32Array, next: Int32Array): { labels: Int32Array; count: number } {
  const fans = new DisjointSet(twin.length);
  for (let h = 0; h < twin.length; h++) if (twin[h]! >= 0) fans.union(h, next[twin[h]!]!);
  return fans.labels();
}
