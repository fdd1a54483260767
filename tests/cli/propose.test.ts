import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createExchange, createObj, readGltf, readObj, writeExchange, writeObj } from '../../src/io/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { runInProcess } from './run-in-process.js';

const mesh = boxGrid(3);
const cornerCount = mesh.faceVertexIndices.length;
const PUPPET = `# a puppet\n${writeObj(createObj(mesh), new Float64Array(2 * cornerCount).fill(Number.NaN))}`;

/** A box of 2 × 3 × 2 with every side an n × n grid of quads. */
function boxGrid(n: number): MeshInput {
  const points: number[] = [];
  const numbers = new Map<string, number>();
  const at = (position: readonly number[]) => {
    const key = position.join();
    if (!numbers.has(key)) {
      numbers.set(key, points.length / 3);
      points.push((2 * position[0]!) / n - 1, (3 * position[1]!) / n, (2 * position[2]!) / n - 1);
    }
    return numbers.get(key)!;
  };
  const faceVertexIndices: number[] = [];
  for (let axis = 0; axis < 3; axis++)
    for (const end of [0, n])
      for (let i = 0; i < n; i++)
        for (let j = 0; j < n; j++) {
          const corner = (di: number, dj: number) => {
            const position = [0, 0, 0];
            position[axis] = end;
            position[(axis + 1) % 3] = i + di;
            position[(axis + 2) % 3] = j + dj;
            return at(position);
          };
          const quad = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
          faceVertexIndices.push(...(end === 0 ? quad.reverse() : quad));
        }
  return { points, faceVertexCounts: Array.from({ length: 6 * n * n }, () => 4), faceVertexIndices };
}

let root: string;
let file: string;
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'seamwright-test-'));
  file = join(root, 'puppet.obj');
  writeFileSync(file, PUPPET);
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

const at = (...names: string[]) => join(root, ...names);
const readAll = (folder: string) =>
  Object.fromEntries(readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), 'base64')]));

interface ProposalFile {
  readonly files: string[];
  readonly sets: {
    seams: { role: string; edges: [number, number][]; reason: string }[];
    charts: { faces: number[] }[];
    measured: {
      charts: number;
      disks: number;
      flippedFaces: number;
      overlappingPairs: number;
      outsideFaces: number;
    };
  }[];
}

describe('propose', () => {
  it('writes whole results: the model unharmed, every face in one chart, all charts disks', async () => {
    const { code, out, error } = await runInProcess([
      'propose',
      file,
      '--out',
      at('out'),
      '--sets',
      '2',
      '--glb',
    ]);
    expect([code, error]).toEqual([0, '']);
    const proposal = JSON.parse(readFileSync(at('out', 'proposal.json'), 'utf8')) as ProposalFile;
    expect(proposal.files.sort()).toEqual(readdirSync(at('out')).sort());
    expect(proposal.sets.length).toBeGreaterThanOrEqual(1);
    proposal.sets.forEach((set, i) => {
      const name = `set-${i + 1}`;
      expect(out).toContain(`${name}.obj`);
      const faces = set.charts.flatMap((chart) => chart.faces).sort((a, b) => a - b);
      expect(faces).toEqual(Array.from(mesh.faceVertexCounts, (_, f) => f));
      expect(set.measured).toMatchObject({ flippedFaces: 0, overlappingPairs: 0, outsideFaces: 0 });
      expect([set.measured.charts, set.measured.disks]).toEqual([set.charts.length, set.charts.length]);
      for (const seam of set.seams) expect(seam.reason.length).toBeGreaterThan(10);
      const text = readFileSync(at('out', `${name}.obj`), 'utf8');
      const isKept = (line: string) => !/^(vt|f) /.test(line);
      expect(text.split('\n').filter(isKept)).toEqual(PUPPET.split('\n').filter(isKept));
      const written = readObj(text);
      expect(written.mesh.faceVertexIndices).toEqual(Int32Array.from(mesh.faceVertexIndices));
      expect(written.cornerUvs!.every((value) => value >= 0 && value <= 1)).toBe(true);
      expect(readFileSync(at('out', `${name}.svg`), 'utf8')).toContain('<svg');
      expect(
        readFileSync(at('out', `${name}.png`))
          .subarray(1, 4)
          .toString(),
      ).toBe('PNG');
    });
    const glb = await readGltf(readFileSync(at('out', 'set-1.glb')));
    expect(glb.cornerUvs).toBeDefined();
    expect(readFileSync(at('out', 'report.html'), 'utf8')).toContain('puppet.obj');
  });

  it('gives the same bytes again, and the same from standard input but for the name', async () => {
    await runInProcess(['propose', file, '--out', at('a'), '--sets', '1']);
    await runInProcess(['propose', file, '--out', at('b'), '--sets', '1']);
    expect(readAll(at('b'))).toEqual(readAll(at('a')));
    const { code } = await runInProcess(['propose', '-', '--out', at('c'), '--sets', '1'], { input: PUPPET });
    expect(code).toBe(0);
    expect(readFileSync(at('c', 'set-1.obj'), 'utf8')).toBe(readFileSync(at('a', 'set-1.obj'), 'utf8'));
  });

  it('prints the proposal on standard output with --json, which alone writes no files', async () => {
    const before = readdirSync(root);
    const { code, out } = await runInProcess(['propose', file, '--json', '--sets', '1', '--quiet']);
    expect(code).toBe(0);
    expect((JSON.parse(out) as ProposalFile).sets).toHaveLength(1);
    expect(readdirSync(root)).toEqual(before);
  });

  it('writes a model of another format in that format as well, with seams and charts', async () => {
    const text = writeExchange(createExchange(mesh), new Float64Array(2 * cornerCount).fill(Number.NaN));
    writeFileSync(at('puppet.json'), text);
    const { code } = await runInProcess(['propose', at('puppet.json'), '--out', at('out'), '--sets', '1']);
    expect(code).toBe(0);
    const written = JSON.parse(readFileSync(at('out', 'set-1.json'), 'utf8')) as {
      subsets: { familyName: string }[];
    };
    expect(new Set(written.subsets.map((subset) => subset.familyName))).toEqual(new Set(['seams', 'charts']));
    expect(existsSync(at('out', 'set-1.obj'))).toBe(true);
  });

  it('takes away what an earlier run left, and nothing else', async () => {
    await runInProcess(['propose', file, '--out', at('out'), '--sets', '2', '--glb']);
    writeFileSync(at('out', 'notes.txt'), 'mine');
    await runInProcess(['propose', file, '--out', at('out'), '--sets', '1']);
    expect(readdirSync(at('out')).sort()).toEqual(
      ['notes.txt', 'proposal.json', 'report.html', 'set-1.obj', 'set-1.png', 'set-1.svg'].sort(),
    );
  });

  it('never writes over its own input', async () => {
    writeFileSync(at('set-1.obj'), PUPPET);
    const before = readAll(root);
    const { code, error } = await runInProcess(['propose', at('set-1.obj'), '--out', root, '--sets', '1']);
    expect(code).toBe(2);
    expect(error).toContain('would replace the file it was made from');
    expect(readAll(root)).toEqual(before);
  });

  it.each([
    ['an empty file', '', 3],
    ['noise', '\u0000\u0001\u0002', 3],
    ['no faces', 'v 0 0 0\nv 1 0 0\n', 3],
    ['an index out of range', 'v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n', 3],
    ['a mesh without area', 'v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n', 3],
  ])('ends with exit code %3$i on %1$s and leaves nothing behind', async (_what, text, expected) => {
    writeFileSync(file, text);
    const { code, out, error } = await runInProcess(['propose', file, '--out', at('out')]);
    expect([code, out]).toEqual([expected, '']);
    expect(error).toMatch(/^seamwright: .* \[[A-Z_]+\]\n/);
    expect(existsSync(at('out'))).toBe(false);
  });

  it('says which file is missing', async () => {
    const { code, error } = await runInProcess(['propose', at('nowhere.obj'), '--out', at('out')]);
    expect(code).toBe(3);
    expect(error).toContain('nowhere.obj');
    expect(existsSync(at('out'))).toBe(false);
  });

  it.each([
    ['not there', undefined, 3],
    ['not JSON', '{', 3],
    ['no object', '[]', 3],
    ['of unknown names', '{ "kepe": [] }', 3],
    ['of the wrong kind', '{ "keep": 5 }', 3],
    ['edges of three points', '{ "keep": [[0, 1, 2]] }', 3],
    ['null', 'null', 3],
    ['a point that does not exist', '{ "keep": [[0, 99999999]] }', 2],
    ['paint for other faces', '{ "paint": [1, 0, 0.5] }', 2],
    ['a face that does not exist', '{ "avoidFaces": [99999999] }', 2],
  ])('refuses hints that are %s', async (_what, text, expected) => {
    if (text !== undefined) writeFileSync(at('hints.json'), text);
    const { code } = await runInProcess(['propose', file, '--out', at('out'), '--hints', at('hints.json')]);
    expect(code).toBe(expected);
    expect(existsSync(at('out'))).toBe(false);
  });

  it('keeps the edges that the hints name', async () => {
    const { faceVertexIndices: corners } = mesh;
    const keep = [0, 40, 100].map((c) => [corners[c]!, corners[c + 1]!] as [number, number]);
    writeFileSync(at('hints.json'), JSON.stringify({ version: 1, keep }));
    const { code, out } = await runInProcess(['propose', file, '--json', '--hints', at('hints.json')]);
    expect(code).toBe(0);
    const name = ([a, b]: readonly number[]) => [a!, b!].sort((p, q) => p - q).join();
    for (const { seams } of (JSON.parse(out) as ProposalFile).sets) {
      const cut = new Set(seams.flatMap((seam) => seam.edges.map(name)));
      for (const edge of keep) expect(cut).toContain(name(edge));
    }
  });

  it('cuts hard edges and group borders on request', async () => {
    const grouped = PUPPET.replace('\nf ', '\ng one\nf ').replace(/(\nf .*){5}$/, '\ng two$&');
    const hard = await runInProcess(['propose', file, '--json', '--hard-edges', '60']);
    for (const { charts } of (JSON.parse(hard.out) as ProposalFile).sets) expect(charts.length).toBe(6);
    expect((await runInProcess(['propose', file, '--json', '--keep-groups', 'material'])).code).toBe(2);
    const run = await runInProcess(['propose', '-', '--json', '--keep-groups', 'group'], { input: grouped });
    expect(run.code).toBe(0);
    expect((await runInProcess(['propose', file, '--json', '--keep-uvs'])).code).toBe(2);
  });

  it.each(['{ "length": -1 }', '{ "lenght": 1 }', '[1]', '{ "length": "1" }'])(
    'refuses the house style %s',
    async (text) => {
      writeFileSync(at('style.json'), text);
      expect((await runInProcess(['propose', file, '--json', '--profile', at('style.json')])).code).toBe(3);
    },
  );

  it('stops when interrupted, with exit code 130 and nothing written', async () => {
    const interrupt = new AbortController();
    const running = runInProcess(['propose', file, '--out', at('out')], { signal: interrupt.signal });
    interrupt.abort();
    const { code, error } = await running;
    expect(code).toBe(130);
    expect(error).toContain('interrupted');
    expect(existsSync(at('out'))).toBe(false);
  });

  it('shows a bar on a terminal and takes it away', async () => {
    const { error } = await runInProcess(['propose', file, '--out', at('out'), '--sets', '1'], {
      isTerminal: true,
    });
    expect(error).toContain('█');
    expect(error).toContain('packing');
    expect(error.endsWith('\r\u001b[2K')).toBe(true);
  });

  it('reads axes that the file does not say', async () => {
    const turned = PUPPET.replace(/^v (\S+) (\S+) (\S+)$/gm, (_line, x, y, z) => `v ${x} ${-z} ${y}`);
    writeFileSync(file, turned);
    const { code, out } = await runInProcess([
      'propose',
      file,
      '--json',
      '--sets',
      '1',
      '--up',
      '+z',
      '--front',
      '-y',
    ]);
    expect(code).toBe(0);
    const upright = await runInProcess(['propose', '-', '--json', '--sets', '1'], { input: PUPPET });
    const edges = (text: string) =>
      (JSON.parse(text) as ProposalFile).sets[0]!.seams.flatMap((seam) => seam.edges).length;
    expect(edges(out)).toBe(edges(upright.out));
  });
});

describe('measure and inspect', () => {
  it('measures what propose wrote as propose did', async () => {
    await runInProcess(['propose', file, '--out', at('out'), '--sets', '1']);
    const { code, out } = await runInProcess(['measure', at('out', 'set-1.obj'), '--json']);
    expect(code).toBe(0);
    const measured = JSON.parse(out) as Record<string, number>;
    const proposed = (JSON.parse(readFileSync(at('out', 'proposal.json'), 'utf8')) as ProposalFile).sets[0]!
      .measured as Record<string, number>;
    for (const key of Object.keys(proposed))
      expect([key, measured[key]]).toEqual([key, expect.closeTo(proposed[key]!, 4)]);
    const text = await runInProcess(['measure', at('out', 'set-1.obj')]);
    expect(text.out).toMatch(/^stretch energy\s+4\.\d+/m);
  });

  it('says when a file has no UVs', async () => {
    const { code, error } = await runInProcess(['measure', file]);
    expect(code).toBe(3);
    expect(error).toContain('no UVs');
  });

  it('tells the health of a mesh', async () => {
    const { code, out } = await runInProcess(['inspect', file, '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({
      faces: mesh.faceVertexCounts.length,
      quads: mesh.faceVertexCounts.length,
      triangles: 0,
      shells: [{ borderLoops: 0, handles: 0, eulerCharacteristic: 2 }],
      hasUvs: false,
      repairs: [],
      mirror: { matchedShare: 1, basis: 'position' },
    });
    expect((await runInProcess(['inspect', file])).out).toContain('mirror   across +x, 100 %');
  });

  it('names what was repaired', async () => {
    writeFileSync(file, 'v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nv 0 -1 0\nv 5 5 5\nf 1 2 3\nf 1 2 4\nf 1 2 5\n');
    const { code, out } = await runInProcess(['inspect', file]);
    expect(code).toBe(0);
    expect(out).toContain('three faces or more');
    expect(out).toContain('belong to no face');
  });
});

describe('demo', () => {
  it('makes a marionette and proposes for it', async () => {
    const { code, error } = await runInProcess([
      'demo',
      '--out',
      at('demo'),
      '--faces',
      '600',
      '--sets',
      '1',
    ]);
    expect([code, error]).toEqual([0, '']);
    expect(readdirSync(at('demo')).sort()).toEqual(
      ['proposal.json', 'report.html', 'set-1.obj', 'set-1.png', 'set-1.svg'].sort(),
    );
    expect(readFileSync(at('demo', 'set-1.obj'), 'utf8')).toMatch(/^g left_arm$/m);
  });
});
