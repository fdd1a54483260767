/**
 * Where one chart was put: uv = scale · R(rotation) · flatUv + offset, with the sign of the flat u changed
 * first when the chart is mirrored.
 */
export interface PlacedChart {
  /** UDIM number of the chart's tile: 1001 + u + 10 v; 1001 in a single square. */
  readonly tile: number;
  /** UV units per model unit. */
  readonly scale: number;
  /** Radians, counter-clockwise. */
  readonly rotation: number;
  readonly offset: readonly [number, number];
  /** Lowest and highest u and v: [u0, v0, u1, v1]. */
  readonly bounds: readonly [number, number, number, number];
  /** Whether the chart was turned over to lie on its mirror image; only when that was asked for. */
  readonly mirrored: boolean;
  /** Whether the chart kept the place it had. */
  readonly locked: boolean;
}

/** Texel density of a layout. */
export interface LayoutDensity {
  /** Mean density by area, pixels per model unit. */
  readonly pixelsPerUnit: number;
  /** The same in pixels per metre. */
  readonly pixelsPerMetre: number;
  /** Density of the least dense chart, pixels per model unit. */
  readonly least: number;
  /** Density of the densest chart, pixels per model unit. */
  readonly most: number;
  /** `most / least`; 1 is perfectly even. */
  readonly spread: number;
}

/** One square of the sheet. */
export interface LayoutTile {
  /** UDIM number: 1001 + u + 10 v. */
  readonly tile: number;
  /** The charts on it, ascending. */
  readonly charts: readonly number[];
  /** Share of the tile covered by charts, 0..1. */
  readonly fill: number;
}

/** Charts arranged on a square or on tiles. */
export interface Layout {
  /** uv of every corner of the mesh, 2 × cornerCount; NaN for corners of faces that no chart has. */
  readonly uvs: Float64Array;
  /** Placement of each chart, in the order of the flat charts. */
  readonly charts: readonly PlacedChart[];
  readonly tiles: readonly LayoutTile[];
  /** Share of all tiles covered by charts, 0..1; stacked copies and their tiles are not counted. */
  readonly fill: number;
  /** The most that a single chart lets the fill become, turned as allowed; 1 when no chart spans its tile. */
  readonly fillLimit: number;
  readonly density: LayoutDensity;
  /** Side of a tile in pixels. */
  readonly resolution: number;
  /** Pixels kept free round every chart. */
  readonly padding: number;
  /** Pixels kept free between two charts: twice the padding. */
  readonly gutter: number;
  /**
   * Smallest distance between two charts of a tile in pixels, the larger of those in u and v; Infinity when
   * it is over twice the gutter.
   */
  readonly gap: number;
  /** What a person should know, such as a padding that had to be lowered. */
  readonly notes: readonly string[];
}
