import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runInProcess } from './run-in-process.js';

/** Two squares of unlike sizes that share no point, of four faces each. */
const SHEETS = [0, 5]
  .flatMap((x, sheet) => {
    const at = (i: number, j: number) => 9 * sheet + 3 * j + i + 1;
    const points = [0, 1, 2].flatMap((j) => [0, 1, 2].map((i) => `v ${x + i * (1 + sheet)} ${j} 0`));
    const faces = [0, 1].flatMap((j) =>
      [0, 1].map((i) => `f ${at(i, j)} ${at(i + 1, j)} ${at(i + 1, j + 1)} ${at(i, j + 1)}`),
    );
    return [...points, ...faces];
  })
  .join('\n');

let root: string;
let file: string;
beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'seamwright-test-'));
  file = join(root, 'sheets.obj');
  writeFileSync(file, SHEETS);
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

/** Proposes with the text of a file of weights; without one the file is not there. */
async function propose(text: string | undefined, ...more: string[]) {
  const weights = join(root, 'weights.json');
  rmSync(weights, { force: true });
  if (text !== undefined) writeFileSync(weights, text);
  return runInProcess([
    ...['propose', file, '--json', '--sets', '1', '--effort', '0', '--face-weights', weights],
    ...more,
  ]);
}

/** Scale of the chart that has each of the first faces of the two squares. */
function scalesOf(out: string): number[] {
  const { sets } = JSON.parse(out) as {
    sets: { charts: { faces: number[]; placement: { scale: number } }[] }[];
  };
  return [0, 4].map((face) => sets[0]!.charts.find(({ faces }) => faces.includes(face))!.placement.scale);
}

describe('--face-weights', () => {
  it('gives each piece the density of its faces, by their area', async () => {
    const { code, out } = await propose('[3, 3, 1, 1, 1, 1, 1, 1]');
    expect(code).toBe(0);
    const [first, second] = scalesOf(out);
    expect(first! / second!).toBeCloseTo(2, 9);
  });

  it('goes along with weights of parts, which say what they did not change', async () => {
    const { code, out, error } = await propose('[1, 1, 1, 1, 0.5, 0.5, 0.5, 0.5]', '--weights', 'nose=2');
    expect(code).toBe(0);
    expect(error).toContain("no chart is of the part 'nose'");
    const [first, second] = scalesOf(out);
    expect(first! / second!).toBeCloseTo(2, 9);
  });

  it.each([
    ['a file that is not there', undefined, 3, 'cannot be read'],
    ['what is no JSON', '[1, 2', 3, '--face-weights'],
    ['what is no list', '{ "paint": [] }', 3, 'expected an array'],
    ['what is no number', '[1, "2"]', 3, '[1] is not valid'],
    ['none', '[1, 1, 1, null]', 3, '[3] is not valid'],
    ['0', '[1, 1, 0, 1]', 3, '[2] is not valid, got 0, expected a number above 0'],
    ['a number too few', '[1, 1, 1, 1, 1, 1, 1]', 2, 'got 7 numbers, expected 8'],
  ])('refuses %s', async (_what, text, expected, message) => {
    const { code, error } = await propose(text);
    expect(code).toBe(expected);
    expect(error).toContain(message);
  });
});
