import { sampleBorder } from './border-samples.js';
import { convexHull } from './bounding-angles.js';
import { buildDistanceField } from './distance-field.js';

/** Outline in cells about its centre. */
export interface CellPiece {
  readonly points: Float64Array;
  readonly loopOffsets: Int32Array;
}

/** Distance between samples of a border, in cells. */
export const SPACING = 2.5;

/** What the measures of overlaps need of a piece. */
export interface OverlapShape {
  readonly hull: Float64Array;
  /** Largest distance of a point from the centre. */
  readonly radius: number;
  /** xy of each sample of the border, and the length it stands for. */
  readonly samples: Float64Array;
  readonly loopOffsets: Int32Array;
  /** Signed distances on a grid whose first node is at (x0, y0), row after row. */
  readonly values: Float32Array;
  readonly x0: number;
  readonly y0: number;
  readonly width: number;
  readonly height: number;
}

/** @param band - how far beyond the outline distances are known */
export function buildOverlapShape({ points, loopOffsets }: CellPiece, band: number): OverlapShape {
  let radius = 0;
  for (let k = 0; k < points.length; k += 2)
    radius = Math.max(radius, Math.hypot(points[k]!, points[k + 1]!));
  return {
    hull: convexHull(points),
    radius,
    ...sampleBorder(points, loopOffsets, SPACING),
    ...buildDistanceField(points, loopOffsets, band),
  };
}
