import type { BoundingAngles } from './bounding-angles.js';
import type { LayoutRotation } from './layout-options.js';
import type { Packing, Piece, PieceSource } from './piece.js';
import { makePiece } from './piece.js';

/** Pieces turned to lie flat in their boxes, and the way back. */
export interface FlatPieces {
  readonly pieces: readonly Piece[];
  /** The same packing, for the pieces as they were. */
  readonly restore: (packing: Packing) => Packing;
}

/**
 * Turns every free piece, as far as it may be turned, so that its bounding box is the smallest and lies on its
 * longer side: boxes of about one height fill rows best. A piece by itself lies as it fits the square best.
 *
 * @param angles - the turns of each piece that bound it most tightly
 */
export function layFlat(
  pieces: readonly Piece[],
  rotation: LayoutRotation,
  angles: readonly BoundingAngles[],
): FlatPieces {
  if (rotation === 'none') return { pieces, restore: (packing) => packing };
  const sources = pieces.map((piece, i): PieceSource => {
    if (piece.isLocked) return { piece, angle: 0, size: 1, centre: [0, 0] };
    const angle = rotation === 'free' ? angles[i]![pieces.length > 1 ? 'rectangle' : 'square'] : 0;
    const turned = makePiece(piece, angle, 1);
    const isFlat = turned.piece.halfWidth >= turned.piece.halfHeight;
    return isFlat ? turned : makePiece(piece, angle + Math.PI / 2, 1);
  });
  return {
    pieces: sources.map((source) => source.piece),
    restore: ({ scale, placements }) => ({
      scale,
      placements: placements.map(({ x, y, angle }, i) => {
        const { angle: turn, centre } = sources[i]!;
        const c = Math.cos(angle) * scale;
        const s = Math.sin(angle) * scale;
        return {
          x: x - c * centre[0] + s * centre[1],
          y: y - s * centre[0] - c * centre[1],
          angle: angle + turn,
        };
      }),
    }),
  };
}
