import { CAP_HEIGHT, CAP_SHARE, findGlyph, LETTER_GAP } from './stroke-font.js';

/** Where a text goes: its middle in pixels, y down, and the font's size in pixels. */
export interface TextPlace {
  readonly x: number;
  readonly y: number;
  readonly size: number;
}

/** The letters of a text, each as it is seen: a letter with a separate accent after it is one. */
const lettersOf = (text: string): string[] => Array.from(text.normalize('NFC'));

/** Pixels of a font unit at a size. */
const unitOf = (size: number): number => (CAP_SHARE * size) / CAP_HEIGHT;

/** Width of a text as a multiple of the font's size. */
export function measureText(text: string): number {
  const letters = lettersOf(text);
  const width = letters.reduce((sum, letter) => sum + findGlyph(letter).width + LETTER_GAP, -LETTER_GAP);
  return Math.max(0, width) * unitOf(1);
}

/** Height of a capital in pixels. */
export const capHeight = (size: number): number => CAP_SHARE * size;

/**
 * The lines of a text, each x0, y0, x1, y1 in pixels. They run between the middles of pixels, every letter alike
 * wherever it stands, so that none is blurred to another shape.
 */
export function strokeText(
  text: string,
  { x, y, size }: TextPlace,
): (readonly [number, number, number, number])[] {
  const unit = unitOf(size);
  const glyphs = lettersOf(text).map(findGlyph);
  const steps = glyphs.map(({ width }) => Math.round((width + LETTER_GAP) * unit));
  const length = steps.reduce((sum, step) => sum + step, -Math.round(LETTER_GAP * unit));
  const lines: (readonly [number, number, number, number])[] = [];
  let pen = Math.round(x - length / 2) + 0.5;
  const base = Math.round(y + capHeight(size) / 2) - 0.5;
  glyphs.forEach(({ strokes }, i) => {
    for (const stroke of strokes) {
      const at = (k: number) => [
        pen + Math.round(stroke[k]! * unit),
        base - Math.round(stroke[k + 1]! * unit),
      ];
      for (let k = 0; k + 3 < stroke.length; k += 2) {
        const [x0, y0] = at(k);
        const [x1, y1] = at(k + 2);
        lines.push([x0!, y0!, x1!, y1!]);
      }
    }
    pen += steps[i]!;
  });
  return lines;
}
