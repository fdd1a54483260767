import { DisjointSet } from '../structures/index.js';

/** Which half-edges face one another, and which faces must turn so that neighbours agree. */
export interface Pairing {
  /** Opposite corner-edge in the caller's corner order: the edge from corner c to its successor; -1 for none. */
  readonly mates: Int32Array;
  readonly faceFlipped: Uint8Array;
  /** Corner-edges of edges with three faces or more, which stay open. */
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
  /** 1 per face of which others are repeats, or which is one. */
  readonly isRepeated: Uint8Array;
}

/**
 * Pairs the faces' edges by their welded end points and orients every shell to its majority by area. Sheets that repeat
 * one another are not turned: their sides are paired only where they run with each other.
 */
export function pairHalfEdges(faces: Faces): Pairing {
  const { faceOffsets, cornerFaces, cornerClasses, isRepeated } = faces;
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
    const [c, d] = [order[i]!, order[i + 1]!];
    if (j - i === 2 && cornerFaces[c] !== cornerFaces[d]) {
      const isSheet = isRepeated[cornerFaces[c]!] || isRepeated[cornerFaces[d]!];
      if (!isSheet || cornerClasses[c] !== cornerClasses[d]) {
        mates[c] = d;
        mates[d] = c;
      }
    } else if (j - i > 2) for (let k = i; k < j; k++) nonManifold.push(order[k]!);
    i = j;
  }
  const { faceFlipped, oneSided } = orientFaces(faces, mates, successor);
  for (const c of oneSided) {
    mates[mates[c]!] = -1;
    mates[c] = -1;
  }
  return { mates, faceFlipped, nonManifold, oneSided };
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
