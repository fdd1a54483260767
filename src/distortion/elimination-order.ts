import { assembleSymmetric, buildAdjacency, orderByMinimumDegree } from '../linalg/index.js';
import type { Mesh } from '../mesh/index.js';
import type { StrainElements } from './predict-elements.js';
import { ELEMENT_SIZE } from './predict-elements.js';

/** In what order the unknowns of a mesh are eliminated so that its factor, and that of any part of it, stays sparse. */
export interface EliminationOrder {
  readonly order: Int32Array;
  /** Place of each unknown in the order. */
  readonly ranks: Int32Array;
  /** Vertex that each unknown is ordered with: a third of the nodes to order, for little more fill. */
  readonly owners: Int32Array;
}

/** Orders vertices by minimum degree; the forces along sides go with the side's first vertex. */
export function orderUnknowns(
  { vertexCount }: Mesh,
  { faceOffsets, sizes, places, unknownCount }: StrainElements,
): EliminationOrder {
  const elementCount = faceOffsets[faceOffsets.length - 1]!;
  const owners = new Int32Array(unknownCount);
  const weights = new Int32Array(vertexCount).fill(1);
  const rows = new Int32Array(6 * elementCount);
  const columns = new Int32Array(6 * elementCount);
  for (let v = 0; v < vertexCount; v++) owners[v] = v;
  let pairCount = 0;
  for (let e = 0; e < elementCount; e++) {
    const at = ELEMENT_SIZE * e;
    const count = sizes[e]! / 2;
    for (let i = 0; i < count; i++) {
      const next = i + 1 === count ? 0 : i + 1;
      owners[places[at + count + i]!] = Math.min(places[at + i]!, places[at + next]!);
      for (let j = 0; j < i; j++) {
        rows[pairCount] = places[at + i]!;
        columns[pairCount++] = places[at + j]!;
      }
    }
  }
  for (let u = vertexCount; u < unknownCount; u++) weights[owners[u]!]!++;
  const pattern = assembleSymmetric(vertexCount, rows.subarray(0, pairCount), columns.subarray(0, pairCount));
  const vertexOrder = orderByMinimumDegree(buildAdjacency(pattern), weights);
  const starts = new Int32Array(vertexCount);
  for (let k = 0, start = 0; k < vertexCount; k++) {
    starts[vertexOrder[k]!] = start;
    start += weights[vertexOrder[k]!]!;
  }
  const order = new Int32Array(unknownCount);
  const ranks = new Int32Array(unknownCount);
  for (let u = 0; u < unknownCount; u++) {
    ranks[u] = starts[owners[u]!]!++;
    order[ranks[u]!] = u;
  }
  return { order, ranks, owners };
}
