import { existsSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import * as seamwright from '../src/index.js';
import { checkSchema, readExchange } from '../src/io/index.js';
import { blocks, DOCUMENTS, GUIDES, readDocument, runBlock } from './docs/document-blocks.js';

const ROOT = resolve(import.meta.dirname, '..');
const read = readDocument;

describe('README', () => {
  it('has an example of at most 15 lines that runs and says what it should', async () => {
    const [example] = blocks(read('README.md'), 'ts');
    const lines = example!.split('\n').filter((line) => !/^\s*(\/\/.*)?$/.test(line));
    expect(lines.length).toBeLessThanOrEqual(15);
    const log = vi.spyOn(console, 'log').mockImplementation(() => {});
    try {
      await runBlock(example!);
      const calls = log.mock.calls;
      const [report, isComplete] = calls.at(-1)!;
      expect(isComplete).toBe(true);
      expect((report as seamwright.LayoutReport).flippedFaces).toEqual([]);
      expect((report as seamwright.LayoutReport).overlaps.pairs).toEqual([]);
      expect((report as seamwright.LayoutReport).outsideFaces).toEqual([]);
      for (const [role, edges, reason] of calls.slice(0, -1)) {
        expect(role).toMatch(/^[a-z]+$/);
        expect(edges).toBeGreaterThan(0);
        expect(reason).toMatch(/\w+ \w+/);
      }
      expect(calls.length).toBeGreaterThan(1);
    } finally {
      log.mockRestore();
    }
  });

  it('says first what the job is, and names commands that exist', () => {
    const text = read('README.md');
    const scripts = Object.keys(JSON.parse(read('package.json')).scripts as object);
    expect(text.indexOf('npm ci && npm run demo')).toBeLessThan(text.indexOf('npm ci && npm test'));
    for (const path of ['README.md', 'DEVELOPERS.md'])
      for (const [, script] of read(path).matchAll(/npm run ([\w:-]+)/g)) expect(scripts).toContain(script);
  });
});

describe('examples of JSON', () => {
  const [mesh] = blocks(read('docs/exchange.md'), 'json');
  const [hints] = blocks(read('docs/hints.md'), 'json');

  it('reads the exchange mesh', () => {
    const document = readExchange(mesh!);
    expect(seamwright.buildMesh(document.mesh).faceCount).toBe(2);
    expect(document.seams).toHaveLength(1);
    expect(document.cornerUvs).toHaveLength(16);
  });

  it('takes the hints', async () => {
    const schema = JSON.parse(read('src/cli/hints.schema.json'));
    const value = JSON.parse(hints!) as seamwright.SeamHints & { version: number };
    checkSchema(value, schema, 'hints');
    const fields = Object.keys(schema.properties).filter((name) => !['$schema', 'version'].includes(name));
    for (const field of fields) {
      expect(Object.keys(value)).toContain(field);
      expect(read('docs/hints.md')).toContain(`\`${field}\``);
    }
    const { version: _version, ...given } = value;
    const cube = seamwright.buildMesh({
      points: Array.from({ length: 8 }, (_, i) => [i & 1, (i >> 1) & 1, i >> 2]).flat(),
      faceVertexCounts: [4, 4, 4, 4, 4, 4],
      faceVertexIndices: [0, 2, 3, 1, 4, 5, 7, 6, 0, 1, 5, 4, 2, 6, 7, 3, 0, 4, 6, 2, 1, 3, 7, 5],
    });
    expect((await seamwright.proposeSeams(cube, { hints: given })).sets.length).toBeGreaterThan(0);
  });
});

describe.each(DOCUMENTS)('%s', (path) => {
  const text = read(path);

  it('links to files that exist', () => {
    for (const [, target] of text.matchAll(/\]\(([^)#\s]+)(?:#[^)]*)?\)/g)) {
      if (/^[a-z]+:/.test(target!)) continue;
      expect([target, existsSync(resolve(ROOT, dirname(path), target!))]).toEqual([target, true]);
    }
  });

  // The guides' blocks run in a folder of their own: docs/guides.test.ts.
  if (!GUIDES.includes(path)) {
    it.each(blocks(text, 'ts').map((code, i) => [i + 1, code] as const))(
      'runs code block %i',
      async (_i, code) => {
        const input = {
          points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0],
          faceVertexCounts: [4],
          faceVertexIndices: [0, 1, 2, 3],
        };
        const { buildMesh } = seamwright;
        const mesh = buildMesh(input);
        // The documents' fragments speak of a mesh, a face and a vertex.
        const given = code.includes('import ') ? {} : { mesh, f: 0, v: 0, input, buildMesh };
        await runBlock(code, given);
      },
    );
  }
});
