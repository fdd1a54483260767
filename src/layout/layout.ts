/** Where one chart was put: uv = scale · R(rotation) · flatUv + offset. */
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
  /** Whether the UVs run against the surface; never so for a chart that was laid out here. */
  readonly mirrored: boolean;
}

/** Texel density of a layout. */
export interface LayoutDensity {
  /** Mean density by area, pixels per model unit (per metre when the model is in metres). */
  readonly pixelsPerUnit: number;
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
  /** Share of all tiles covered by charts, 0..1. */
  readonly fill: number;
  readonly density: LayoutDensity;
  /** Side of a tile in pixels. */
  readonly resolution: number;
  /** Pixels kept free round every chart. */
  readonly padding: number;
  /** Pixels kept free between two charts: twice the padding. */
  readonly gutter: number;
  /** Smallest distance found between two charts of a tile, in pixels; Infinity for a single chart. */
  readonly gap: number;
  /** What a person should know, such as a padding that had to be lowered. */
  readonly notes: readonly string[];
}
