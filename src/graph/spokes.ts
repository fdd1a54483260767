import type { Mesh } from '../mesh/index.js';

/**
 * The directed edges of a mesh, grouped by the vertex they leave and in rotational order. A spoke is the
 * state of a path search: it knows where it goes and at which angle it leaves.
 */
export interface Spokes {
  /** Spokes of vertex v: offsets[v] .. offsets[v + 1] - 1, counter-clockwise. */
  readonly offsets: Int32Array;
  readonly edges: Int32Array;
  readonly heads: Int32Array;
  /** The spoke along the same edge from the other end. */
  readonly opposites: Int32Array;
  /** Angle from the vertex's first spoke, scaled so that a full turn is 2π round interior vertices. */
  readonly angles: Float64Array;
  /** 1 per vertex on a border, where angles do not wrap round. */
  readonly isBorder: Uint8Array;
}

/** Builds the spokes. Round a vertex of four quads the four sectors count as equal: edge flow goes straight through it. */
export function buildSpokes(mesh: Mesh, cornerAngles: Float64Array): Spokes {
  const spokeCount = 2 * mesh.edgeCount;
  const offsets = new Int32Array(mesh.vertexCount + 1);
  const edges = new Int32Array(spokeCount);
  const heads = new Int32Array(spokeCount);
  const opposites = new Int32Array(spokeCount);
  const angles = new Float64Array(spokeCount);
  const isBorder = new Uint8Array(mesh.vertexCount);
  const firstSpoke = new Int32Array(mesh.edgeCount).fill(-1);
  let spoke = 0;
  const place = (edge: number, head: number, angle: number) => {
    edges[spoke] = edge;
    heads[spoke] = head;
    angles[spoke] = angle;
    const other = firstSpoke[edge]!;
    if (other < 0) firstSpoke[edge] = spoke;
    else {
      opposites[spoke] = other;
      opposites[other] = spoke;
    }
    spoke++;
  };
  for (let v = 0; v < mesh.vertexCount; v++) {
    offsets[v] = spoke;
    const first = mesh.vertexHalfEdges[v]!;
    let count = 0;
    let total = 0;
    let isOfQuads = true;
    let last = first;
    for (let h = first; h >= 0 && (h !== first || count === 0); h = mesh.twin[last]!) {
      count++;
      total += cornerAngles[h]!;
      isOfQuads &&= faceSize(mesh, h) === 4;
      last = mesh.prev[h]!;
    }
    const border = mesh.twin[last]! < 0;
    isBorder[v] = border ? 1 : 0;
    const isRegular = !border && count === 4 && isOfQuads;
    const stretch = border || total === 0 ? 1 : (2 * Math.PI) / total;
    let angle = 0;
    for (let i = 0, h = first; i < count; i++, h = mesh.twin[mesh.prev[h]!]!) {
      const head = mesh.cornerVertices[mesh.next[h]!]!;
      place(mesh.halfEdgeEdges[h]!, head, isRegular ? (i * Math.PI) / 2 : angle);
      angle += cornerAngles[h]! * stretch;
    }
    if (border) place(mesh.halfEdgeEdges[last]!, mesh.cornerVertices[last]!, angle);
  }
  offsets[mesh.vertexCount] = spoke;
  return { offsets, edges, heads, opposites, angles, isBorder };
}

const faceSize = (mesh: Mesh, h: number): number =>
  mesh.faceOffsets[mesh.cornerFaces[h]! + 1]! - mesh.faceOffsets[mesh.cornerFaces[h]!]!;

/** Turn between arriving along `arrival` and leaving along `departure`, 0 straight on .. π back again. */
export function turnAngle(spokes: Spokes, arrival: number, departure: number): number {
  const sector = spokes.angles[departure]! - spokes.angles[spokes.opposites[arrival]!]!;
  return Math.abs(Math.PI - Math.abs(sector));
}
