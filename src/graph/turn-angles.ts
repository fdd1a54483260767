import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { headVertex, tailVertex, vertexEdges } from '../mesh/index.js';

/**
 * A way along an edge: 2 × edge, plus 1 when it runs against the edge's lower half-edge. (Half-edges will not do:
 * a border edge has one, but can be walked both ways.)
 */
export type ArcId = number & { readonly __id?: 'arc' };

export const arcEdge = (arc: ArcId): EdgeId => arc >> 1;
export const reverseArc = (arc: ArcId): ArcId => arc ^ 1;

/** Arcs leaving every vertex, counter-clockwise, and how far a path turns from one to another. */
export interface TurnTable {
  /** Arcs leaving vertex v are `arcs[offsets[v]] .. arcs[offsets[v + 1] - 1]`. */
  readonly offsets: Int32Array;
  readonly arcs: Int32Array;
  readonly arcHeads: Int32Array;
  readonly arcTails: Int32Array;
  /** Angle of each arc round the vertex it leaves, radians, as `measureTurn` wants it. */
  readonly arcBearings: Float64Array;
  /** 1 for vertices on a border. */
  readonly isBorder: Uint8Array;
}

/**
 * Bearings of all arcs round their vertices.
 *
 * Among quads only, neighbouring arcs are alike far apart whatever their shape: 2π / valence inside, π / 2 on a
 * border; so an edge loop through valence-4 vertices is straight however it bends in space. Elsewhere
 * bearings are the corner angles, spread to 2π inside.
 */
export function buildTurnTable(mesh: Mesh): TurnTable {
  const offsets = new Int32Array(mesh.vertexCount + 1);
  const arcs = new Int32Array(2 * mesh.edgeCount);
  const arcHeads = new Int32Array(2 * mesh.edgeCount);
  const arcTails = new Int32Array(2 * mesh.edgeCount);
  const arcBearings = new Float64Array(2 * mesh.edgeCount);
  const isBorder = new Uint8Array(mesh.vertexCount);
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    arcTails[2 * e] = arcHeads[2 * e + 1] = tailVertex(mesh, h);
    arcHeads[2 * e] = arcTails[2 * e + 1] = headVertex(mesh, h);
  }
  let filled = 0;
  for (let v = 0; v < mesh.vertexCount; v++) {
    isBorder[v] = mesh.twin[mesh.vertexHalfEdges[v]!]! < 0 ? 1 : 0;
    const around = vertexEdges(mesh, v);
    const angles = sectorAngles(mesh, v, around.length, isBorder[v] === 1);
    let bearing = 0;
    around.forEach((e, i) => {
      const arc = arcTails[2 * e] === v ? 2 * e : 2 * e + 1;
      arcs[filled++] = arc;
      arcBearings[arc] = bearing;
      bearing += angles[i] ?? 0;
    });
    offsets[v + 1] = filled;
  }
  return { offsets, arcs, arcHeads, arcTails, arcBearings, isBorder };
}

/** Angles of the faces round a vertex, counter-clockwise from its first half-edge. */
function sectorAngles(mesh: Mesh, v: VertexId, valence: number, isBorder: boolean): number[] {
  const angles: number[] = [];
  let isQuads = true;
  const first = mesh.vertexHalfEdges[v]!;
  let h = first;
  do {
    const f = mesh.cornerFaces[h]!;
    if (mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]! !== 4) isQuads = false;
    angles.push(cornerAngle(mesh, h));
    h = mesh.twin[mesh.prev[h]!]!;
  } while (h >= 0 && h !== first);
  if (isQuads) return angles.map(() => (isBorder ? Math.PI / 2 : (2 * Math.PI) / valence));
  if (isBorder) return angles;
  const total = angles.reduce((sum, a) => sum + a, 0);
  return total > 0 ? angles.map((a) => (a * 2 * Math.PI) / total) : angles.map(() => (2 * Math.PI) / valence);
}

function cornerAngle(mesh: Mesh, h: number): number {
  const { points, cornerPoints } = mesh;
  const o = 3 * cornerPoints[h]!;
  const p = 3 * cornerPoints[mesh.next[h]!]!;
  const q = 3 * cornerPoints[mesh.prev[h]!]!;
  const ux = points[p]! - points[o]!;
  const uy = points[p + 1]! - points[o + 1]!;
  const uz = points[p + 2]! - points[o + 2]!;
  const vx = points[q]! - points[o]!;
  const vy = points[q + 1]! - points[o + 1]!;
  const vz = points[q + 2]! - points[o + 2]!;
  const sine = Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
  return Math.atan2(sine, ux * vx + uy * vy + uz * vz);
}

/** How far a path turns, 0 (straight on) to π (back), when it comes in by one arc and leaves by another. */
export function measureTurn(table: TurnTable, incoming: ArcId, outgoing: ArcId): number {
  const between = Math.abs(table.arcBearings[incoming ^ 1]! - table.arcBearings[outgoing]!);
  if (table.isBorder[table.arcTails[outgoing]!]) return Math.min(Math.PI, Math.abs(Math.PI - between));
  return Math.abs(Math.PI - between);
}
