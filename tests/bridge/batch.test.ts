import { execFile, spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createObj, writeObj } from '../../src/io/index.js';
import { cube, cylinder, prism } from '../../src/testing/index.js';
import { buildProgram } from './build-program.js';

const folder = mkdtempSync(join(tmpdir(), 'seamwright-batch-'));
const out = join(folder, 'out');
const list = join(folder, 'troupe.txt');
let main: string;

function writeModel(name: string, mesh: ReturnType<typeof cube>): void {
  const arrays = {
    points: Float64Array.from(mesh.points),
    faceVertexCounts: Int32Array.from(mesh.faceVertexCounts),
    faceVertexIndices: Int32Array.from(mesh.faceVertexIndices),
  };
  const none = new Float64Array(2 * arrays.faceVertexIndices.length).fill(Number.NaN);
  writeFileSync(join(folder, name), writeObj(createObj(arrays), none));
}

beforeAll(async () => {
  main = await buildProgram(folder);
  writeModel('box.obj', cube());
  writeModel('post.obj', prism(5));
  writeModel('drum.obj', cylinder());
  writeFileSync(join(folder, 'torn.obj'), 'v 0 0 0\nv 1 0 0\nf 1 2 9\n');
  writeFileSync(list, '# the troupe\nbox.obj\n\ntorn.obj\r\npost.obj\nmissing.obj\ndrum.obj\nbox.obj\n');
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const ARGUMENTS = ['batch', '--sets', '1', '--effort', '0', '--resolution', '256', '--quiet'];

const runBatch = (...more: string[]) => runProgram('--list', list, '--out', out, '--jobs', '2', ...more);

function runProgram(...more: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  const args = [main, ...ARGUMENTS, ...more];
  return new Promise((resolve) => {
    execFile(process.execPath, args, { timeout: 60_000 }, (error, stdout, stderr) => {
      resolve({ code: error ? Number(error.code) : 0, stdout, stderr });
    });
  });
}

/** Every file below a folder with its content. */
function snapshot(root: string): Map<string, string> {
  const files = readdirSync(root, { recursive: true, encoding: 'utf8' }).filter((name) =>
    statSync(join(root, name)).isFile(),
  );
  return new Map(files.sort().map((name) => [name, readFileSync(join(root, name), 'latin1')]));
}

describe('a batch', () => {
  let first: Map<string, string>;

  it('does every model, whatever becomes of the others, and sums up', async () => {
    const { code, stdout } = await runBatch();
    expect(code).toBe(3);
    expect(stdout).toContain('5 models: 3 done, 0 skipped, 2 failed');
    expect(stdout).toMatch(/^torn +MESH_|^torn +FORMAT_/m);
    first = snapshot(out);
    expect([...first.keys()].filter((name) => name.endsWith('record.json'))).toEqual(
      ['box', 'drum', 'post'].map((name) => join(name, 'record.json')),
    );
    expect(readdirSync(join(out, 'box')).sort()).toEqual(
      ['proposal.json', 'record.json', 'report.html', 'set-1.obj', 'set-1.png', 'set-1.svg'].sort(),
    );
    const summary = JSON.parse(first.get('summary.json')!);
    expect(summary).toMatchObject({ models: 5, finished: 3, failed: 2 });
    expect(summary.results.map((each: { file: string; status: string }) => [each.file, each.status])).toEqual(
      [
        ['box.obj', 'finished'],
        ['torn.obj', 'failed'],
        ['post.obj', 'finished'],
        ['missing.obj', 'failed'],
        ['drum.obj', 'finished'],
      ],
    );
  });

  it('skips what is done, and does again what has changed', async () => {
    const again = await runBatch();
    expect(again.stdout).toContain('0 done, 3 skipped, 2 failed');
    expect(snapshot(out)).toEqual(first);
    writeModel('post.obj', prism(6));
    const changed = await runBatch('--json');
    expect(JSON.parse(changed.stdout)).toEqual(JSON.parse(readFileSync(join(out, 'summary.json'), 'utf8')));
    const now = snapshot(out);
    const differing = [...now.keys()].filter((name) => now.get(name) !== first.get(name));
    expect(new Set(differing.map((name) => name.split(/[\\/]/)[0]))).toEqual(
      new Set(['post', 'summary.json']),
    );
  });

  it('does again what was made in another house style, by what its file says', async () => {
    const style = join(folder, 'style.json');
    const few = join(folder, 'few.txt');
    writeFileSync(few, 'box.obj\n');
    const run = async (exposure: number) => {
      writeFileSync(style, JSON.stringify({ exposure }));
      const args = ['--list', few, '--out', join(folder, 'styled'), '--profile', style];
      return (await runProgram(...args)).stdout;
    };
    expect(await run(0.5)).toContain('1 done, 0 skipped');
    expect(await run(0.5)).toContain('0 done, 1 skipped');
    expect(await run(0.9)).toContain('1 done, 0 skipped');
  });

  it('killed at any moment, leaves whole results only and goes on from there', async () => {
    const reference = snapshot(out);
    rmSync(out, { recursive: true });
    for (const delay of [900, 1500, 2300]) {
      const child = spawn(
        process.execPath,
        [main, ...ARGUMENTS, '--list', list, '--out', out, '--jobs', '2'],
        { stdio: 'ignore' },
      );
      const ended = new Promise((resolve) => child.on('exit', resolve));
      await new Promise((resolve) => setTimeout(resolve, delay));
      child.kill('SIGKILL');
      await ended;
      for (const [name, content] of snapshotIfThere(out))
        if (!name.startsWith('.unfinished-'))
          expect([name, content === reference.get(name)]).toEqual([name, true]);
    }
    await runBatch();
    expect(snapshot(out)).toEqual(reference);
  });

  it.each([
    [['--list', 'nowhere.txt', '--out', 'x'], 3, '--list'],
    [['--out', 'x'], 2, '--list'],
    [['--list', 'x'], 2, '--out'],
    [['--list', 'x', '--out', 'y', '--jobs', '0'], 2, '--jobs'],
  ])('refuses %j', async (args, code, words) => {
    const given = args.map((arg) => (arg === 'x' ? list : arg));
    const result = await new Promise<{ code: number; stderr: string }>((resolve) => {
      execFile(process.execPath, [main, 'batch', ...given], { cwd: folder }, (error, _out, stderr) =>
        resolve({ code: Number(error?.code ?? 0), stderr }),
      );
    });
    expect(result.stderr).toContain(words);
    expect(result.code).toBe(code);
  });
});

function snapshotIfThere(root: string): Map<string, string> {
  try {
    return snapshot(root);
  } catch {
    return new Map();
  }
}

describe('one model', () => {
  it('comes out the same on one thread and on several', async () => {
    const make = (jobs: number) => {
      const folderOf = join(folder, `jobs-${jobs}`);
      const args = ['demo', '--faces', '2200', '--sets', '2', '--effort', '0', '--jobs', String(jobs)];
      return new Promise<Map<string, string>>((resolve, reject) => {
        execFile(process.execPath, [main, ...args, '--out', folderOf], { timeout: 100_000 }, (error) => {
          if (error) reject(error);
          else resolve(snapshot(folderOf));
        });
      });
    };
    expect(await make(3)).toEqual(await make(1));
  });
});
