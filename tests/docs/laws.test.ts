import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { expect, it } from 'vitest';

const ROOT = resolve(import.meta.dirname, '../..');
const document = readFileSync(join(ROOT, 'docs/laws.md'), 'utf8');
const tests = readdirSync(join(ROOT, 'tests/laws'))
  .filter((name) => name.endsWith('.test.ts'))
  .map((name) => readFileSync(join(ROOT, 'tests/laws', name), 'utf8'))
  .join('\n');

it('states every law once, in the words of its test', () => {
  const stated = [...document.matchAll(/^\| ([A-Z]\w+) \| (.*?)\.? \|/gm)].map(
    ([, name, words]) => `${name}: ${words!.charAt(0).toLowerCase()}${words!.slice(1)}`,
  );
  const tested = [...tests.matchAll(/\bit\('([A-Z]\w+: [^']*)'/g)].map(([, title]) => title!);
  expect(stated.length).toBeGreaterThanOrEqual(9);
  expect([...stated].sort()).toEqual([...tested].sort());
  expect(tests.match(/numRuns: lawRuns\(/g)).toHaveLength(tested.length);
});

it('names tests that exist', () => {
  for (const [, path] of document.matchAll(/`((?:tests|bench)\/[^`]+\.\w+)`/g))
    expect([path, existsSync(join(ROOT, path!))]).toEqual([path, true]);
});
