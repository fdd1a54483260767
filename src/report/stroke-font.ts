/** A letter as strokes on a grid, y up from the baseline, in font units. */
export interface Glyph {
  /** Width of its strokes. */
  readonly width: number;
  /** x, y pairs of each stroke; a dot is a stroke whose ends are one. */
  readonly strokes: readonly (readonly number[])[];
}

/** Font units from the baseline to the top of a capital; small letters are 4 high and reach down 2. */
export const CAP_HEIGHT = 6;
/** Font units from the strokes of a letter to those of the next. */
export const LETTER_GAP = 1.5;
/** Font units of a space, without the gap before the next letter. */
const SPACE_WIDTH = 1.5;
/** Share of a font's size that a capital is high (as in common sans serif fonts, no source). */
export const CAP_SHARE = 0.72;

/** Each stroke is a run of points, each two digits: x, and y with the baseline at 2. */
const STROKES: Readonly<Record<string, string>> = {
  A: '022842 1535',
  B: '02083847463505 3544433202',
  C: '4738180703123243',
  D: '02083847433202',
  E: '48080242 0535',
  F: '480802 0535',
  G: '47381807031232434525',
  H: '0208 4248 0545',
  I: '0828 1812 0222',
  J: '3833221203',
  K: '0208 4804 1542',
  L: '080242',
  M: '0208254842',
  N: '02084248',
  O: '183847433212030718',
  P: '02083847463505',
  Q: '183847433212030718 2442',
  R: '02083847463505 2542',
  S: '473818070615354443321203',
  T: '0848 2822',
  U: '080312324348',
  V: '082248',
  W: '0812253248',
  X: '0248 0842',
  Y: '082548 2522',
  Z: '08480242',
  a: '3632 3526160503122233',
  b: '0802 0516263533221203',
  c: '3526160503122233',
  d: '3832 3526160503122233',
  e: '04343526160503122233',
  f: '281712 0626',
  g: '3631201001 3526160503122233',
  h: '0802 0516263532',
  i: '0602 0808',
  j: '161100 1818',
  k: '0802 3603 1432',
  l: '080312',
  m: '0602 05162522 25364542',
  n: '0602 0516263532',
  o: '160503122233352616',
  p: '0600 0516263533221203',
  q: '3630 3526160503122233',
  r: '0602 051626',
  s: '35261605142433221203',
  t: '181322 0626',
  u: '0603122233 3632',
  v: '062246',
  w: '0612243246',
  x: '0236 0632',
  y: '0603122233 3631201001',
  z: '06360232',
  '0': '182837332212030718',
  '1': '071812 0222',
  '2': '07182837360232',
  '3': '07182837362515 253433221203',
  '4': '22280434',
  '5': '380805253433221203',
  '6': '372818070312223334251504',
  '7': '083812',
  '8': '15060718283736251504031222333425',
  '9': '031222333728180706152536',
  '-': '0525',
  _: '0131',
  '.': '0202',
  ',': '1201',
  ':': '0202 0505',
  '/': '0138',
  '+': '0444 2226',
  '=': '0333 0535',
  '(': '18070312',
  ')': '08171302',
  '#': '1117 3137 0343 0545',
  "'": '0807',
  '!': '0804 0202',
  '?': '07182837361514 1212',
};

/** What stands for a letter that the font lacks: an empty box. */
const BOX = '0208383202';

const GLYPHS = new Map(Object.entries(STROKES).map(([letter, text]) => [letter, readGlyph(text)]));
const MISSING = readGlyph(BOX);
const SPACE: Glyph = { width: SPACE_WIDTH, strokes: [] };

/** The glyph of one letter; a box for those that the font lacks, so that none is lost. */
export function findGlyph(letter: string): Glyph {
  return GLYPHS.get(letter) ?? (/^\s$/.test(letter) ? SPACE : MISSING);
}

function readGlyph(text: string): Glyph {
  const strokes = text
    .split(' ')
    .map((stroke) => Array.from(stroke, (digit, i) => Number(digit) - (i % 2 === 0 ? 0 : 2)));
  const width = Math.max(...strokes.flatMap((stroke) => stroke.filter((_, i) => i % 2 === 0)));
  return { width, strokes };
}
