import type { ChartOutline } from './chart-outline.js';

/** An outline to be packed: centred on its bounding box, stood upright, sized by its density weight. */
export interface Piece {
  /** xy of the outline, loop after loop, model units; surface on the left. */
  readonly points: Float64Array;
  readonly loopOffsets: Int32Array;
  readonly area: number;
  /** Half the width and height of the bounding box. */
  readonly halfWidth: number;
  readonly halfHeight: number;
  /** Largest distance of a point from the centre. */
  readonly radius: number;
  /** A piece that stays where it is, with points already in units of the square. */
  readonly isLocked?: boolean;
}

/** A piece and how its points came from the chart's: p = turn · flatUv · size − centre. */
export interface PieceSource {
  readonly piece: Piece;
  readonly angle: number;
  readonly size: number;
  readonly centre: readonly [number, number];
}

/** Where a piece is put: point = scale · R(angle) · p + (x, y), in units of the square's side. */
export interface Placement {
  readonly x: number;
  readonly y: number;
  readonly angle: number;
}

/** Placements of all pieces at one common scale. */
export interface Packing {
  readonly scale: number;
  readonly placements: readonly Placement[];
}

/** Turns, sizes and centres an outline. */
export function makePiece(outline: ChartOutline, angle: number, size: number): PieceSource {
  const n = outline.points.length / 2;
  const points = new Float64Array(2 * n);
  const cos = Math.cos(angle) * size;
  const sin = Math.sin(angle) * size;
  let x0 = Infinity;
  let y0 = Infinity;
  let x1 = -Infinity;
  let y1 = -Infinity;
  for (let i = 0; i < n; i++) {
    const x = cos * outline.points[2 * i]! - sin * outline.points[2 * i + 1]!;
    const y = sin * outline.points[2 * i]! + cos * outline.points[2 * i + 1]!;
    points[2 * i] = x;
    points[2 * i + 1] = y;
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  const cx = (x0 + x1) / 2;
  const cy = (y0 + y1) / 2;
  let radius = 0;
  for (let i = 0; i < n; i++) {
    points[2 * i]! -= cx;
    points[2 * i + 1]! -= cy;
    radius = Math.max(radius, Math.hypot(points[2 * i]!, points[2 * i + 1]!));
  }
  const piece: Piece = {
    points,
    loopOffsets: outline.loopOffsets,
    area: Math.abs(outline.area) * size * size,
    halfWidth: (x1 - x0) / 2,
    halfHeight: (y1 - y0) / 2,
    radius,
  };
  return { piece, angle, size, centre: [cx, cy] };
}
