import { BorderGrid } from './border-grid.js';
import type { OutlineSet } from './outline-set.js';

/** A vertex near a border of another piece, and the face of the keep-out zone that parts them. */
export interface Contact {
  /** Vertex of the outline set. */
  readonly vertex: number;
  /** Point on the other piece's border, in the square. */
  readonly x: number;
  readonly y: number;
  readonly other: number;
  /** Direction that parts them, from the border to the vertex. */
  readonly nx: number;
  readonly ny: number;
  /** n · (vertex − border) − gutter · (|nx| + |ny|): room left before the gutter is broken. */
  readonly room: number;
}

/** Cosine from which two directions count as one: 25°. */
const SAME_DIRECTION = 0.906;

/**
 * Pairs of a vertex and a border of another piece closer than the band, with the room left between. Of the
 * borders that one vertex faces in nearly the same direction only the nearest counts.
 */
export function findContacts(set: OutlineSet, band: number, gutter: number): Contact[] {
  const contacts: Contact[] = [];
  const seen = new Set<number>();
  let ofVertex: (Contact & { pair: number })[] = [];
  const keepNearest = () => {
    ofVertex.sort((a, b) => a.room - b.room);
    const first = contacts.length;
    for (const contact of ofVertex) {
      let isNew = true;
      for (let k = first; k < contacts.length && isNew; k++) {
        const kept = contacts[k]!;
        isNew = kept.other !== contact.other || kept.nx * contact.nx + kept.ny * contact.ny < SAME_DIRECTION;
      }
      if (!isNew) continue;
      if (contact.pair >= 0) {
        const { vertex: v, pair: p, nx } = contact;
        const key = (Math.min(v, p) * set.vertexCount + Math.max(v, p)) * 2 + (nx !== 0 ? 0 : 1);
        if (seen.has(key)) continue;
        seen.add(key);
      }
      contacts.push(contact);
    }
    ofVertex = [];
  };
  new BorderGrid(set, band).forEachNear((v, a) => {
    if (ofVertex.length > 0 && ofVertex[0]!.vertex !== v) keepNearest();
    const contact = measureContact(set, v, a, gutter);
    if (contact && contact.room <= band - gutter) ofVertex.push(contact);
  });
  keepNearest();
  return contacts;
}

function measureContact(
  set: OutlineSet,
  v: number,
  a: number,
  gutter: number,
): (Contact & { pair: number }) | undefined {
  const { world } = set;
  const b = set.nextVertices[a]!;
  const vx = world[2 * v]!;
  const vy = world[2 * v + 1]!;
  const ax = world[2 * a]!;
  const ay = world[2 * a + 1]!;
  const bx = world[2 * b]!;
  const by = world[2 * b + 1]!;
  const ex = bx - ax;
  const ey = by - ay;
  const length = Math.hypot(ex, ey);
  const behind = ex * (vy - ay) - ey * (vx - ax);
  const sign = behind > 0 ? -1 : 1;
  const other = set.vertexPieces[a]!;
  let best = -Infinity;
  let contact: (Contact & { pair: number }) | undefined;
  // Faces of the segment widened by a square: left, right, below, above, and the edge's own.
  const consider = (nx: number, ny: number, p: number) => {
    const reach = nx * (vx - world[2 * p]!) + ny * (vy - world[2 * p + 1]!);
    if (reach <= best) return;
    best = reach;
    contact = {
      vertex: v,
      x: world[2 * p]!,
      y: world[2 * p + 1]!,
      other,
      nx,
      ny,
      room: reach - gutter,
      pair: p,
    };
  };
  consider(1, 0, ax > bx ? a : b);
  consider(-1, 0, ax < bx ? a : b);
  consider(0, 1, ay > by ? a : b);
  consider(0, -1, ay < by ? a : b);
  if (length > 0) {
    const nx = (sign * ey) / length;
    const ny = (-sign * ex) / length;
    const size = Math.abs(nx) + Math.abs(ny);
    const reach = Math.abs(behind) / length;
    if (reach / size > best) {
      const cx = vx - gutter * Math.sign(nx);
      const cy = vy - gutter * Math.sign(ny);
      const t = Math.min(1, Math.max(0, ((cx - ax) * ex + (cy - ay) * ey) / (length * length)));
      contact = {
        vertex: v,
        x: ax + t * ex,
        y: ay + t * ey,
        other,
        nx,
        ny,
        room: reach - gutter * size,
        pair: -1,
      };
    }
  }
  return contact;
}
