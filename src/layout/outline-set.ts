import { BorderGrid } from './border-grid.js';
import type { Packing, Piece } from './piece.js';

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
    return !grid.hasCrossing() && grid.leastDistance(gutter) >= gutter && !this.#hasNested();
  }

  /** Smallest distance between two pieces, `limit` when none is closer; 0 where they overlap. */
  measureGap(limit: number): number {
    const grid = new BorderGrid(this, limit);
    if (grid.hasCrossing() || this.#hasNested()) return 0;
    return grid.leastDistance(limit);
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
