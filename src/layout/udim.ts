/** Tiles in a row of the UDIM numbering. */
const TILES_ACROSS = 10;

/** Column and row of the k-th tile: ten tiles to a row, from the left, bottom row first. */
export function tileOffset(index: number): readonly [number, number] {
  return [index % TILES_ACROSS, Math.floor(index / TILES_ACROSS)];
}

/** UDIM number of the tile that holds a point: 1001 + floor(u) + 10 floor(v), u from 0 to 10. */
export function udimTile(u: number, v: number): number {
  return 1001 + Math.floor(u) + TILES_ACROSS * Math.floor(v);
}
