/**
 * Seam colours, chosen by search: on a lattice of sRGB colours with a contrast of at least 3:1 against the
 * paper, the six whose nearest two are farthest apart in OKLab, to full sight and to each of the three kinds
 * of colour blindness (Machado et al. 2009, full severity). The nearest two are 0.171 apart; eight colours
 * reach only 0.131, so further seams get a dash pattern instead.
 */
export const SEAM_COLOURS = Object.freeze(['#d07010', '#103090', '#903010', '#5090b0', '#9010f0', '#301030']);

/** Dash patterns in units of the line's width: whole, long, short. */
export const SEAM_DASHES = Object.freeze(['', '5 2.5', '1.6 1.8']);

/** Paper behind everything, the charts on it, and the ink of outlines and words. */
export const PAPER = '#fbfaf7';
export const CHART_FILL = '#efece4';
export const INK = '#23211d';
export const FAINT_INK = '#cfcabd';

/** How a seam is drawn, alike in the layout and on the model. */
export interface SeamStyle {
  readonly colour: string;
  readonly dash: string;
}

/** Style of the open edges that the model had before any cut. */
export const BORDER_STYLE: SeamStyle = Object.freeze({ colour: INK, dash: '' });

/** Red, green and blue, 0..255, of a colour written as #rrggbb. */
export function parseColour(colour: string): readonly [number, number, number] {
  return [1, 3, 5].map((i) => Number.parseInt(colour.slice(i, i + 2), 16)) as [number, number, number];
}
