import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { expect, it } from 'vitest';
import { exitCodeOf } from '../../src/cli/exit-codes.js';
import { errorCodes } from './error-codes.js';

const ROOT = resolve(import.meta.dirname, '../..');
const read = (path: string) => readFileSync(join(ROOT, path), 'utf8');

const rows = [...read('docs/errors.md').matchAll(/^\| `([A-Z_]+)` \|(.*)\|$/gm)].map(([, code, rest]) => ({
  code: code!,
  cells: rest!.split('|').map((cell) => cell.trim()),
}));

it('documents every error code once, with cause, remedy and exit code', () => {
  expect(rows.map((row) => row.code).sort()).toEqual(errorCodes().sort());
  for (const { cells } of rows) {
    expect(cells).toHaveLength(3);
    expect(cells[0]!.length).toBeGreaterThan(10);
  }
});

it('states the exit code that the command line gives', () => {
  for (const { code, cells } of rows) expect([code, Number(cells[2])]).toEqual([code, exitCodeOf({ code })]);
  expect(exitCodeOf(new Error('other'))).toBe(1);
  expect(exitCodeOf({ code: 'toString' })).toBe(1);
});

it('lists no code that nothing raises', () => {
  const sources = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts') && path !== 'errors.ts' && !path.endsWith('exit-codes.ts'))
    .map((path) => read(`src/${path}`))
    .join('\n');
  const unused = errorCodes().filter((code) => !sources.includes(`'${code}'`));
  expect(unused).toEqual([]);
});
