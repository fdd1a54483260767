import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createExchange, createObj, readGltf, readObj, writeExchange, writeObj } from '../../src/io/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { makeMarionette } from '../../src/testing/index.js';
import type { ProcessResult } from './run-in-process.js';
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

/** Runs a command that proposes, without a long search for a tighter packing. */
const runQuick: typeof runInProcess = (args, options) => runInProcess([...args, '--effort', '0'], options);

let root: string;
let file: string;
const at = (...names: string[]) => join(root, ...names);
const readAll = (folder: string) =>
  Object.fromEntries(readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), 'base64')]));

let whole: ProcessResult;
beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), 'seamwright-test-'));
  file = at('puppet.obj');
  writeFileSync(file, PUPPET);
  whole = await runQuick(['propose', file, '--out', at('out'), '--sets', '2', '--glb'], {
    isTerminal: true,
  });
}, 120_000);
afterAll(() => rmSync(root, { recursive: true, force: true }));

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

const readProposal = (text: string) => JSON.parse(text) as ProposalFile;

describe('propose', () => {
  it('writes whole results: the model unharmed, every face in one chart, all charts disks', async () => {
    const { code, out } = whole;
    expect(code).toBe(0);
    const proposal = readProposal(readFileSync(at('out', 'proposal.json'), 'utf8'));
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

  it('shows a bar on a terminal and takes it away', () => {
    expect(whole.error).toContain('█');
    expect(whole.error).toContain('packing');
    expect(whole.error.endsWith('\r\u001b[2K')).toBe(true);
  });

  it('gives the same bytes again, and takes away what an earlier run left, and nothing else', async () => {
    await runQuick(['propose', file, '--out', at('again'), '--sets', '2', '--glb']);
    expect(readAll(at('again'))).toEqual(readAll(at('out')));
    writeFileSync(at('again', 'notes.txt'), 'mine');
    // From standard input only the model's name differs.
    const { code } = await runQuick(['propose', '-', '--out', at('again'), '--sets', '1'], {
      input: PUPPET,
    });
    expect(code).toBe(0);
    expect(readdirSync(at('again')).sort()).toEqual(
      ['notes.txt', 'proposal.json', 'report.html', 'set-1.obj', 'set-1.png', 'set-1.svg'].sort(),
    );
    expect(readFileSync(at('again', 'set-1.obj'), 'utf8')).toBe(readFileSync(at('out', 'set-1.obj'), 'utf8'));
  });

  it('prints the proposal on standard output with --json, which alone writes no files', async () => {
    const before = readdirSync(root);
    const { code, out } = await runQuick(['propose', file, '--json', '--sets', '1', '--quiet']);
    expect(code).toBe(0);
    expect(readProposal(out).sets).toHaveLength(1);
    expect(readdirSync(root)).toEqual(before);
  });

  it('writes a model of another format in that format as well, with seams and charts', async () => {
    const text = writeExchange(createExchange(mesh), new Float64Array(2 * cornerCount).fill(Number.NaN));
    writeFileSync(at('puppet.json'), text);
    const { code } = await runQuick(['propose', at('puppet.json'), '--out', at('json'), '--sets', '1']);
    expect(code).toBe(0);
    const written = JSON.parse(readFileSync(at('json', 'set-1.json'), 'utf8')) as {
      subsets: { familyName: string }[];
    };
    expect(new Set(written.subsets.map((subset) => subset.familyName))).toEqual(new Set(['seams', 'charts']));
    expect(existsSync(at('json', 'set-1.obj'))).toBe(true);
  });

  it('lays the sheet out as the options say, and writes layers to paint under', async () => {
    const args = ['propose', file, '--out', at('sheet'), '--sets', '1', '--template', '--tiles', '2'];
    const density = ['--unit-metres', '0.01', '--weights', 'nose=2'];
    const { code, error } = await runQuick([...args, ...density, '--resolution', '256', '--stack-mirrored']);
    expect(code).toBe(0);
    expect(error).toContain("no chart is of the part 'nose'");
    const { sets, files } = JSON.parse(readFileSync(at('sheet', 'proposal.json'), 'utf8')) as ProposalFile & {
      sets: { layout: { density: { pixelsPerUnit: number; pixelsPerMetre: number } } }[];
    };
    const { pixelsPerUnit, pixelsPerMetre } = sets[0]!.layout.density;
    expect(pixelsPerMetre).toBeCloseTo(100 * pixelsPerUnit, 6);
    const templates = files.filter((name) => name.includes('template'));
    expect(templates[0]).toBe('set-1-template.svg');
    expect(templates.length).toBeGreaterThanOrEqual(2);
    for (const name of templates) expect(existsSync(at('sheet', name))).toBe(true);
  });

  it('lays mirror images side by side on request', async () => {
    const { code } = await runQuick([
      'propose',
      file,
      '--out',
      at('pairs'),
      '--sets',
      '1',
      '--pair-mirrored',
    ]);
    expect(code).toBe(0);
    const { sets } = JSON.parse(readFileSync(at('pairs', 'proposal.json'), 'utf8')) as {
      sets: { charts: { mirrorOf?: number; placement: { bounds: [number, number, number, number] } }[] }[];
    };
    const { charts } = sets[0]!;
    const images = charts.filter(({ mirrorOf }) => mirrorOf !== undefined);
    expect(images.length).toBeGreaterThan(0);
    for (const { mirrorOf, placement } of images) {
      const [a, b] = [placement.bounds, charts[mirrorOf!]!.placement.bounds];
      const gap = Math.max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3]);
      // The usual gutter is a 64th of the side.
      expect(gap).toBeLessThan(2 / 64);
    }
  });

  it('fills tiles at a density in pixels per metre', async () => {
    const { code, out } = await runQuick(['propose', file, '--json', '--sets', '1', '--density', '600']);
    expect(code).toBe(0);
    const { sets } = JSON.parse(out) as { sets: { layout: { density: { pixelsPerMetre: number } } }[] };
    expect(sets[0]!.layout.density.pixelsPerMetre).toBeCloseTo(600, 3);
  });

  it('never writes over its own input', async () => {
    const before = readAll(at('out'));
    const { code, error } = await runQuick(['propose', at('out', 'set-1.obj'), '--out', at('out')]);
    expect(code).toBe(2);
    expect(error).toContain('expected another folder');
    expect(readAll(at('out'))).toEqual(before);
  });

  it.each([
    ['an empty file', '', 3],
    ['noise', '\u0000\u0001\u0002', 3],
    ['no faces', 'v 0 0 0\nv 1 0 0\n', 3],
    ['an index out of range', 'v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n', 3],
    ['a mesh without area', 'v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n', 3],
  ])('refuses %s and leaves nothing behind', async (_what, text, expected) => {
    writeFileSync(at('bad.obj'), text);
    const { code, out, error } = await runQuick(['propose', at('bad.obj'), '--out', at('bad')]);
    expect([code, out]).toEqual([expected, '']);
    expect(error).toMatch(/^seamwright: .* \[[A-Z_]+\]\n/);
    expect(existsSync(at('bad'))).toBe(false);
  });

  it('says which file is missing', async () => {
    const { code, error } = await runQuick(['propose', at('nowhere.obj'), '--out', at('bad')]);
    expect(code).toBe(3);
    expect(error).toContain('nowhere.obj');
    expect(existsSync(at('bad'))).toBe(false);
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
    const { code, error } = await runQuick([
      'propose',
      file,
      '--out',
      at('bad'),
      '--hints',
      at('hints.json'),
    ]);
    expect(code).toBe(expected);
    if (expected === 2) expect(error).toContain('hints.md');
    expect(existsSync(at('bad'))).toBe(false);
  });

  it('keeps the edges that the hints name', async () => {
    const { faceVertexIndices: corners } = mesh;
    const keep = [0, 40, 100].map((c) => [corners[c]!, corners[c + 1]!] as [number, number]);
    writeFileSync(at('hints.json'), JSON.stringify({ version: 1, keep }));
    const { code, out } = await runQuick([
      'propose',
      file,
      '--json',
      '--sets',
      '2',
      '--hints',
      at('hints.json'),
    ]);
    expect(code).toBe(0);
    const name = ([a, b]: readonly number[]) => [a!, b!].sort((p, q) => p - q).join();
    for (const { seams } of readProposal(out).sets) {
      const cut = new Set(seams.flatMap((seam) => seam.edges.map(name)));
      for (const edge of keep) expect(cut).toContain(name(edge));
    }
  });

  it('cuts hard edges and group borders on request', async () => {
    const grouped = PUPPET.replace('\nf ', '\ng one\nf ').replace(/(\nf .*){5}$/, '\ng two$&');
    const hard = await runQuick(['propose', file, '--json', '--hard-edges', '60']);
    for (const { charts } of readProposal(hard.out).sets) expect(charts.length).toBe(6);
    expect((await runQuick(['propose', file, '--json', '--keep-groups', 'material'])).code).toBe(2);
    const run = await runQuick(['propose', '-', '--json', '--keep-groups', 'group'], { input: grouped });
    expect(run.code).toBe(0);
    expect((await runQuick(['propose', file, '--json', '--keep-uvs'])).code).toBe(2);
  });

  it.each(['{ "length": -1 }', '{ "lenght": 1 }', '[1]', '{ "length": "1" }'])(
    'refuses the house style %s',
    async (text) => {
      writeFileSync(at('style.json'), text);
      expect((await runQuick(['propose', file, '--json', '--profile', at('style.json')])).code).toBe(3);
    },
  );

  it('stops when interrupted, with exit code 130 and nothing written', async () => {
    const interrupt = new AbortController();
    const running = runQuick(['propose', file, '--out', at('bad')], { signal: interrupt.signal });
    interrupt.abort();
    const { code, error } = await running;
    expect(code).toBe(130);
    expect(error).toContain('interrupted');
    expect(existsSync(at('bad'))).toBe(false);
  });

  it('reads axes that the file does not say', async () => {
    const turned = PUPPET.replace(/^v (\S+) (\S+) (\S+)$/gm, (_line, x, y, z) => `v ${x} ${-z} ${y}`);
    const args = ['propose', '-', '--json', '--sets', '1', '--up', '+z', '--front', '-y'];
    const { code, out } = await runQuick(args, { input: turned });
    expect(code).toBe(0);
    const upright = readProposal(readFileSync(at('out', 'proposal.json'), 'utf8'));
    const edges = ({ sets }: ProposalFile) => sets[0]!.seams.map((seam) => [seam.role, seam.edges]);
    expect(edges(readProposal(out))).toEqual(edges(upright));
  });
});

describe('measure and inspect', () => {
  it('measures what propose wrote as propose did', async () => {
    const { code, out } = await runInProcess(['measure', at('out', 'set-1.obj'), '--json']);
    expect(code).toBe(0);
    const measured = JSON.parse(out) as Record<string, number>;
    const proposed = (JSON.parse(readFileSync(at('out', 'proposal.json'), 'utf8')) as ProposalFile).sets[0]!
      .measured as Record<string, number>;
    for (const key of Object.keys(proposed))
      expect([key, measured[key]]).toEqual([key, expect.closeTo(proposed[key]!, 4)]);
    const text = await runInProcess(['measure', at('out', 'set-1.obj')]);
    expect(text.out).toMatch(/^stretch energy\s+4(\.\d+)? \(4 is none\)/m);
  });

  it('finds a layout alike to itself, in another format as well', async () => {
    const { code, out } = await runInProcess(['compare', at('out', 'set-1.obj'), at('out', 'set-1.obj')]);
    expect(code).toBe(0);
    expect(out).toContain('A and B are alike in every figure.');
    const { out: json } = await runInProcess([
      'compare',
      at('out', 'set-1.obj'),
      at('out', 'set-1.glb'),
      '--json',
    ]);
    const { measures } = JSON.parse(json) as { measures: { name: string; better: string }[] };
    expect(measures.filter(({ better }) => better !== 'tie')).toEqual([]);
  });

  it('says in words what a squeezed layout is worse in', async () => {
    const text = readFileSync(at('out', 'set-1.obj'), 'utf8');
    writeFileSync(
      at('squeezed.obj'),
      text.replace(/^vt (\S+) (\S+)$/gm, (_line, u, v) => `vt ${u / 2} ${v}`),
    );
    const { code, out } = await runInProcess(['compare', at('squeezed.obj'), at('out', 'set-1.obj')]);
    expect(code).toBe(0);
    expect(out).toMatch(/B (is better )?in stretch,.* fill/);
    // UV = (u/2, v) of an isometry: best-scale energy 2(σ² + σ⁻²) with σ² = 2, 5 (check by hand).
    expect(out).toMatch(/^stretch +5 +4 +B$/m);
  });

  it('carries a layout over to an edited model, exactly to a re-posed one', async () => {
    const reposed = at('reposed.obj');
    writeFileSync(
      reposed,
      PUPPET.replace(/^v (\S+) (\S+) (\S+)$/gm, (_line, x, y, z) => `v ${x} ${-z} ${y}`),
    );
    const from = at('out', 'set-1.obj');
    const { code, out } = await runInProcess(['carry', from, reposed, '--out', at('carried.obj')]);
    expect(code).toBe(0);
    expect(out).toContain('carried UVs exactly');
    const before = readObj(readFileSync(from));
    expect(readObj(readFileSync(at('carried.obj'))).cornerUvs).toEqual(before.cornerUvs);
    const finer = at('finer.obj');
    writeFileSync(finer, writeObj(createObj(boxGrid(4)), new Float64Array(2 * 6 * 16 * 4).fill(Number.NaN)));
    const other = await runInProcess(['carry', from, finer, '--out', at('finer.usda'), '--json']);
    expect(other.code).toBe(0);
    expect(JSON.parse(other.out)).toMatchObject({ isExact: false, unmatchedFaces: [] });
    const { code: refused } = await runInProcess(['carry', file, finer, '--out', at('finer.usda')]);
    expect(refused).toBe(3);
    expect((await runInProcess(['carry', from, finer, '--out', finer])).code).toBe(2);
    expect((await runInProcess(['carry', from, finer, '--out', at('finer.txt')])).code).toBe(2);
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

  it('asks for the front where a body is symmetric from front to back', async () => {
    const puppet = makeMarionette({ faces: 700 }).mesh;
    const none = new Float64Array(2 * puppet.faceVertexIndices.length).fill(Number.NaN);
    writeFileSync(at('sideways.json'), writeExchange(createExchange(puppet), none));
    expect((await runInProcess(['inspect', at('sideways.json'), '--front=+x'])).out).toContain(
      'that is from front to back: does the model face along -z, --front?',
    );
  });

  it('names what was repaired', async () => {
    writeFileSync(
      at('fan.obj'),
      'v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nv 0 -1 0\nv 5 5 5\nf 1 2 3\nf 1 2 4\nf 1 2 5\n',
    );
    const { code, out } = await runInProcess(['inspect', at('fan.obj')]);
    expect(code).toBe(0);
    expect(out).toContain('three faces or more');
    expect(out).toContain('belong to no face');
  });
});

describe('demo', () => {
  it('makes a marionette and proposes for it', async () => {
    const { code, error } = await runQuick(['demo', '--out', at('demo'), '--faces', '600', '--sets', '1']);
    expect([code, error]).toEqual([0, '']);
    expect(readdirSync(at('demo')).sort()).toEqual(
      ['proposal.json', 'report.html', 'set-1.obj', 'set-1.png', 'set-1.svg'].sort(),
    );
    expect(readFileSync(at('demo', 'set-1.obj'), 'utf8')).toMatch(/^g left_arm$/m);
  });
});
