import type { Packing, Piece } from './piece.js';
import { squareDistance } from './square-distance.js';

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
 * All outlines of a packing in the square, for exact tests.
 *
 * Distance is measured as texels see it: the larger of the distances in u and in v (a square
 * neighbourhood, as in dilation and mip maps), which is never more than the Euclidean distance.
 */
export class OutlineSet {
  readonly pieceCount: number;
  readonly vertexCount: number;
  /** Piece of each vertex. */
  readonly vertexPieces: Int32Array;
  /** The same, with one number for all locked pieces, whose distances are nobody's concern. */
  readonly vertexGroups: Int32Array;
  /** The vertex after and before each one round its loop. */
  readonly nextVertices: Int32Array;
  readonly prevVertices: Int32Array;
  readonly firstVertices: Int32Array;
  /** xy of each vertex in the square, by `place`. */
  readonly world: Float64Array;
  readonly boxes: Float64Array;
  readonly #pieces: readonly Piece[];

  constructor(pieces: readonly Piece[]) {
    this.#pieces = pieces;
    this.pieceCount = pieces.length;
    this.firstVertices = new Int32Array(pieces.length + 1);
    for (let i = 0; i < pieces.length; i++)
      this.firstVertices[i + 1] = this.firstVertices[i]! + pieces[i]!.points.length / 2;
    const n = this.firstVertices[pieces.length]!;
    this.vertexCount = n;
    this.vertexPieces = new Int32Array(n);
    this.vertexGroups = new Int32Array(n);
    this.nextVertices = new Int32Array(n);
    this.prevVertices = new Int32Array(n);
    this.world = new Float64Array(2 * n);
    this.boxes = new Float64Array(4 * pieces.length);
    for (let i = 0; i < pieces.length; i++) {
      const base = this.firstVertices[i]!;
      const { loopOffsets } = pieces[i]!;
      for (let l = 0; l + 1 < loopOffsets.length; l++) {
        for (let k = loopOffsets[l]!; k < loopOffsets[l + 1]!; k++) {
          const next = k + 1 === loopOffsets[l + 1] ? loopOffsets[l]! : k + 1;
          this.vertexPieces[base + k] = i;
          this.vertexGroups[base + k] = pieces[i]!.isLocked ? pieces.length : i;
          this.nextVertices[base + k] = base + next;
          this.prevVertices[base + next] = base + k;
        }
      }
    }
  }

  /** Puts all outlines where the packing has them. */
  place({ scale, placements }: Packing): void {
    const { world, boxes } = this;
    for (let i = 0; i < this.pieceCount; i++) {
      const { points, isLocked } = this.#pieces[i]!;
      const { x, y, angle } = placements[i]!;
      const size = isLocked ? 1 : scale;
      const c = Math.cos(angle) * size;
      const s = Math.sin(angle) * size;
      let o = 2 * this.firstVertices[i]!;
      let x0 = Infinity;
      let y0 = Infinity;
      let x1 = -Infinity;
      let y1 = -Infinity;
      for (let k = 0; k < points.length; k += 2) {
        const px = c * points[k]! - s * points[k + 1]! + x;
        const py = s * points[k]! + c * points[k + 1]! + y;
        world[o++] = px;
        world[o++] = py;
        if (px < x0) x0 = px;
        if (px > x1) x1 = px;
        if (py < y0) y0 = py;
        if (py > y1) y1 = py;
      }
      boxes[4 * i] = x0;
      boxes[4 * i + 1] = y0;
      boxes[4 * i + 2] = x1;
      boxes[4 * i + 3] = y1;
    }
  }

  /** Whether all pieces but the locked keep the border, and every two the gutter (exact, no tolerance). */
  isApart(border: number, gutter: number): boolean {
    const { boxes } = this;
    for (let i = 0; i < this.pieceCount; i++) {
      if (this.#pieces[i]!.isLocked) continue;
      if (boxes[4 * i]! < border || boxes[4 * i + 1]! < border) return false;
      if (boxes[4 * i + 2]! > 1 - border || boxes[4 * i + 3]! > 1 - border) return false;
    }
    const grid = new BorderGrid(this, gutter);
    return !grid.hasCrossing() && !grid.hasVertexWithin(gutter) && !this.#hasNested();
  }

  /** Smallest distance between two pieces, `limit` when none is closer; 0 where they overlap. */
  measureGap(limit: number): number {
    const grid = new BorderGrid(this, limit);
    if (grid.hasCrossing() || this.#hasNested()) return 0;
    return grid.leastDistance(limit);
  }

  /**
   * Pairs of a vertex and a border of another piece closer than the band, with the room left between. Of the
   * borders that one vertex faces in nearly the same direction only the nearest counts.
   */
  findContacts(band: number, gutter: number): Contact[] {
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
          isNew =
            kept.other !== contact.other || kept.nx * contact.nx + kept.ny * contact.ny < SAME_DIRECTION;
        }
        if (!isNew) continue;
        if (contact.pair >= 0) {
          const { vertex: v, pair: p, nx } = contact;
          const key = (Math.min(v, p) * this.vertexCount + Math.max(v, p)) * 2 + (nx !== 0 ? 0 : 1);
          if (seen.has(key)) continue;
          seen.add(key);
        }
        contacts.push(contact);
      }
      ofVertex = [];
    };
    new BorderGrid(this, band).forEachNear((v, a) => {
      if (ofVertex.length > 0 && ofVertex[0]!.vertex !== v) keepNearest();
      const contact = this.#contact(v, a, gutter);
      if (contact && contact.room <= band - gutter) ofVertex.push(contact);
    });
    keepNearest();
    return contacts;
  }

  #contact(v: number, a: number, gutter: number): (Contact & { pair: number }) | undefined {
    const { world } = this;
    const b = this.nextVertices[a]!;
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
    const other = this.vertexPieces[a]!;
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

  /** Whether a piece lies inside another, given that no borders cross. */
  #hasNested(): boolean {
    const { boxes, firstVertices, world } = this;
    for (let i = 0; i < this.pieceCount; i++) {
      const v = firstVertices[i]!;
      if (v === firstVertices[i + 1]) continue;
      for (let j = 0; j < this.pieceCount; j++) {
        if (
          i !== j &&
          !(this.#pieces[i]!.isLocked && this.#pieces[j]!.isLocked) &&
          boxes[4 * i]! >= boxes[4 * j]! &&
          boxes[4 * i + 1]! >= boxes[4 * j + 1]! &&
          boxes[4 * i + 2]! <= boxes[4 * j + 2]! &&
          boxes[4 * i + 3]! <= boxes[4 * j + 3]! &&
          this.#isInside(j, world[2 * v]!, world[2 * v + 1]!)
        )
          return true;
      }
    }
    return false;
  }

  #isInside(piece: number, x: number, y: number): boolean {
    const { world } = this;
    let winding = 0;
    for (let a = this.firstVertices[piece]!; a < this.firstVertices[piece + 1]!; a++) {
      const b = this.nextVertices[a]!;
      const ay = world[2 * a + 1]!;
      const by = world[2 * b + 1]!;
      if (ay <= y === by <= y) continue;
      const side = (world[2 * b]! - world[2 * a]!) * (y - ay) - (by - ay) * (x - world[2 * a]!);
      if (by > ay ? side > 0 : side < 0) winding += by > ay ? 1 : -1;
    }
    return winding !== 0;
  }
}

/** Buckets of border segments on a grid over the outlines. */
class BorderGrid {
  readonly #set: OutlineSet;
  readonly #x0: number;
  readonly #y0: number;
  readonly #width: number;
  readonly #height: number;
  readonly #cell: number;
  readonly #reach: number;
  readonly #offsets: Int32Array;
  readonly #segments: Int32Array;

  constructor(set: OutlineSet, reach: number) {
    this.#set = set;
    this.#reach = reach;
    let x0 = 0;
    let y0 = 0;
    let x1 = 1;
    let y1 = 1;
    const { boxes } = set;
    for (let i = 0; i < set.pieceCount; i++) {
      if (boxes[4 * i]! > boxes[4 * i + 2]!) continue;
      x0 = Math.min(x0, boxes[4 * i]!);
      y0 = Math.min(y0, boxes[4 * i + 1]!);
      x1 = Math.max(x1, boxes[4 * i + 2]!);
      y1 = Math.max(y1, boxes[4 * i + 3]!);
    }
    const target = Math.min(1024, Math.max(16, Math.ceil(Math.sqrt(set.vertexCount))));
    this.#cell = Math.max(reach, Math.max(x1 - x0, y1 - y0) / target);
    this.#x0 = x0;
    this.#y0 = y0;
    this.#width = Math.floor((x1 - x0) / this.#cell) + 1;
    this.#height = Math.floor((y1 - y0) / this.#cell) + 1;
    this.#offsets = new Int32Array(this.#width * this.#height + 1);
    for (let a = 0; a < set.vertexCount; a++) this.#forEachCell(a, (k) => void this.#offsets[k + 1]!++);
    for (let k = 0; k < this.#width * this.#height; k++) this.#offsets[k + 1]! += this.#offsets[k]!;
    this.#segments = new Int32Array(this.#offsets[this.#width * this.#height]!);
    const fill = this.#offsets.slice();
    for (let a = 0; a < set.vertexCount; a++)
      this.#forEachCell(a, (k) => void (this.#segments[fill[k]!++] = a));
  }

  /** Visits the cells of a segment's bounding box, widened by the reach. */
  #forEachCell(a: number, visit: (cell: number) => void): void {
    const { world, nextVertices } = this.#set;
    const b = nextVertices[a]!;
    const r = this.#reach;
    const x0 = this.#column(Math.min(world[2 * a]!, world[2 * b]!) - r);
    const x1 = this.#column(Math.max(world[2 * a]!, world[2 * b]!) + r);
    const y0 = this.#row(Math.min(world[2 * a + 1]!, world[2 * b + 1]!) - r);
    const y1 = this.#row(Math.max(world[2 * a + 1]!, world[2 * b + 1]!) + r);
    for (let y = y0; y <= y1; y++) for (let x = x0; x <= x1; x++) visit(y * this.#width + x);
  }

  #column(x: number): number {
    return Math.min(this.#width - 1, Math.max(0, Math.floor((x - this.#x0) / this.#cell)));
  }

  #row(y: number): number {
    return Math.min(this.#height - 1, Math.max(0, Math.floor((y - this.#y0) / this.#cell)));
  }

  /** Visits every vertex with every segment of another piece in its cell. */
  forEachNear(visit: (vertex: number, segment: number) => void): void {
    const { world, vertexGroups, vertexCount } = this.#set;
    for (let v = 0; v < vertexCount; v++) {
      const k = this.#row(world[2 * v + 1]!) * this.#width + this.#column(world[2 * v]!);
      const piece = vertexGroups[v]!;
      for (let s = this.#offsets[k]!; s < this.#offsets[k + 1]!; s++)
        if (vertexGroups[this.#segments[s]!] !== piece) visit(v, this.#segments[s]!);
    }
  }

  /** Whether a vertex is nearer than the distance to a segment of another piece. */
  hasVertexWithin(distance: number): boolean {
    const { world, nextVertices, vertexGroups, vertexCount } = this.#set;
    for (let v = 0; v < vertexCount; v++) {
      const vx = world[2 * v]!;
      const vy = world[2 * v + 1]!;
      const k = this.#row(vy) * this.#width + this.#column(vx);
      for (let s = this.#offsets[k]!; s < this.#offsets[k + 1]!; s++) {
        const a = this.#segments[s]!;
        if (vertexGroups[a] === vertexGroups[v]) continue;
        const b = nextVertices[a]!;
        if (
          squareDistance(
            world[2 * a]! - vx,
            world[2 * a + 1]! - vy,
            world[2 * b]! - vx,
            world[2 * b + 1]! - vy,
            distance,
          ) < distance
        )
          return true;
      }
    }
    return false;
  }

  leastDistance(limit: number): number {
    const { world, nextVertices } = this.#set;
    let least = limit;
    this.forEachNear((v, a) => {
      const b = nextVertices[a]!;
      const vx = world[2 * v]!;
      const vy = world[2 * v + 1]!;
      least = Math.min(
        least,
        squareDistance(
          world[2 * a]! - vx,
          world[2 * a + 1]! - vy,
          world[2 * b]! - vx,
          world[2 * b + 1]! - vy,
          least,
        ),
      );
    });
    return least;
  }

  /** Whether two segments of different pieces cross or touch. */
  hasCrossing(): boolean {
    const { vertexGroups } = this.#set;
    for (let k = 0; k + 1 < this.#offsets.length; k++) {
      for (let s = this.#offsets[k]!; s < this.#offsets[k + 1]!; s++) {
        const a = this.#segments[s]!;
        for (let t = s + 1; t < this.#offsets[k + 1]!; t++) {
          const b = this.#segments[t]!;
          if (vertexGroups[a] !== vertexGroups[b] && this.#cross(a, b)) return true;
        }
      }
    }
    return false;
  }

  #cross(a: number, c: number): boolean {
    const { world, nextVertices } = this.#set;
    const b = nextVertices[a]!;
    const d = nextVertices[c]!;
    const ax = world[2 * a]!;
    const ay = world[2 * a + 1]!;
    const bx = world[2 * b]!;
    const by = world[2 * b + 1]!;
    const cx = world[2 * c]!;
    const cy = world[2 * c + 1]!;
    const dx = world[2 * d]!;
    const dy = world[2 * d + 1]!;
    if (Math.max(ax, bx) < Math.min(cx, dx) || Math.max(cx, dx) < Math.min(ax, bx)) return false;
    if (Math.max(ay, by) < Math.min(cy, dy) || Math.max(cy, dy) < Math.min(ay, by)) return false;
    const p = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    const q = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax);
    if ((p > 0 && q > 0) || (p < 0 && q < 0)) return false;
    const r = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx);
    const s = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx);
    return !((r > 0 && s > 0) || (r < 0 && s < 0));
  }
}
