import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { COMMANDS } from '../../src/cli/commands.js';
import { parseArguments } from '../../src/cli/parse-arguments.js';
import { arrangeCharts, buildMesh, flattenCharts, proposeSeams } from '../../src/index.js';
import { createObj, writeObj } from '../../src/io/index.js';
import { cube } from '../../src/testing/index.js';
import { runInProcess } from '../cli/run-in-process.js';
import { blocks, GUIDES, listBlocks, readDocument, runBlock } from './document-blocks.js';

/** Commands that serve until they are stopped, or start threads of the built program. They have tests of their own. */
const NOT_RUN = /^(npm (ci|install)|seamwright (bridge|batch))\b/;

const home = process.cwd();
const root = mkdtempSync(join(tmpdir(), 'seamwright-guides-'));

/** Stands for every model that the documents name: small, in two materials, with UVs. */
const model = (async () => {
  const input = cube({ n: 2 });
  const mesh = buildMesh(input);
  const { sets } = await proposeSeams(mesh, { sets: 1 });
  const { uvs } = arrangeCharts(mesh, flattenCharts(mesh, sets[0]!), { effort: 0 });
  const half = mesh.faceCount / 2;
  const materials = ['head', 'body'].map((name, i) => ({
    name,
    kind: 'material' as const,
    faces: Int32Array.from({ length: half }, (_, f) => i * half + f),
  }));
  return writeObj(createObj(input, materials), uvs);
})();

/** Files that the documents speak of. */
async function furnish(folder: string): Promise<void> {
  mkdirSync(folder, { recursive: true });
  for (const name of ['puppet.obj', 'by-hand.obj', 'king.obj', 'queen.obj'])
    writeFileSync(join(folder, name), await model);
  // As the page saves it.
  writeFileSync(join(folder, 'hints.json'), '{"version":1,"avoidFaces":[0,3]}\n');
}

beforeAll(() => {
  vi.spyOn(console, 'log').mockImplementation(() => {});
});
afterEach(() => process.chdir(home));
afterAll(() => {
  vi.restoreAllMocks();
  rmSync(root, { recursive: true });
});

/** The commands of a shell block, without comments and prompts. */
const commandsOf = (code: string) =>
  code
    .replaceAll('\\\n', ' ')
    .split('\n')
    .map((line) => line.replace(/\s+#.*$|^#.*$/, '').trim())
    .filter((line) => line !== '');

describe.each(GUIDES)('%s', (path) => {
  it('does what it says, block by block', async () => {
    const folder = join(root, path.replaceAll('/', '-'));
    await furnish(folder);
    process.chdir(folder);
    for (const { language, code } of listBlocks(readDocument(path))) {
      const file = /^\/\/ ([\w.-]+)(?:: .*)?\n/.exec(code)?.[1];
      if (language === 'ts') await runBlock(code);
      else if (language === 'js' && !/seamwright\/farm/.test(code)) {
        expect(file).toBeDefined();
        await runBlock(code);
      } else if (language === 'sh') {
        for (const line of commandsOf(code)) {
          const command = line.replace(/^npx /, '');
          if (NOT_RUN.test(command)) continue;
          const [program, ...args] = command.split(/\s+/);
          expect([command, program]).toEqual([command, 'seamwright']);
          const { code: exit, error } = await runInProcess([...args, '--quiet']);
          expect([command, exit, exit === 0 ? '' : error]).toEqual([command, 0, '']);
        }
      }
    }
  });
});

describe('commands in other documents', () => {
  it.each(['docs/bridge.md', 'DEVELOPERS.md'])('%s names options that exist', (path) => {
    for (const code of blocks(readDocument(path), 'sh'))
      for (const command of commandsOf(code)) {
        const [program, name, ...args] = command.split(/\s+/);
        if (program !== 'seamwright') continue;
        const known = COMMANDS.find((each) => each.name === name);
        expect(known, command).toBeDefined();
        parseArguments(known!, args);
      }
  });
});
