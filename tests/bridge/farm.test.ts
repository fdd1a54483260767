import type { ChildProcess } from 'node:child_process';
import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { queueModels, readFarm } from '../../src/farm/index.js';
import { prism } from '../../src/testing/index.js';
import { buildProgram } from './build-program.js';

/** Models that go through the farm; the long mode is what a studio's night would be. */
const IS_LONG = process.env.SEAMWRIGHT_LONG === '1';
const MODELS = IS_LONG ? 200 : 8;
const PORT = 20_000 + (process.pid % 20_000);
const REDIS = `redis://127.0.0.1:${PORT}`;

function hasRedis(): boolean {
  try {
    execFileSync('redis-server', ['--version'], { stdio: 'ignore' });
    return true;
  } catch {
    console.warn('skipped: the farm is not tested, as redis-server is not installed');
    return false;
  }
}

describe.skipIf(!hasRedis())('the farm', () => {
  const folder = mkdtempSync(join(tmpdir(), 'seamwright-farm-'));
  const out = join(folder, 'out');
  const children: ChildProcess[] = [];

  const ended = (child: ChildProcess) => new Promise((resolve) => child.once('exit', resolve));

  function startWorker(): ChildProcess {
    const child = spawn(process.execPath, [join(folder, 'work.mjs')], { stdio: ['pipe', 'pipe', 'inherit'] });
    children.push(child);
    return child;
  }

  beforeAll(async () => {
    await buildProgram(folder);
    writeFileSync(
      join(folder, 'work.mjs'),
      `import { runFarmWorker } from ${JSON.stringify(join(folder, 'dist/farm/index.js'))};
const worker = runFarmWorker({ redis: ${JSON.stringify(REDIS)}, jobs: 1, abandonedAfter: 2000, log: console.log });
process.stdin.on('end', () => worker.close()).resume();
`,
    );
    const server = spawn(
      'redis-server',
      ['--port', String(PORT), '--bind', '127.0.0.1', '--save', '', '--dir', folder],
      {
        stdio: ['ignore', 'pipe', 'inherit'],
      },
    );
    children.push(server);
    await new Promise<void>((resolve) => {
      server.stdout!.on('data', (chunk) => {
        if (String(chunk).includes('Ready to accept connections')) resolve();
      });
    });
  }, 60_000);
  afterAll(async () => {
    for (const child of children) {
      if (child.exitCode !== null || child.signalCode !== null) continue;
      const end = ended(child);
      child.kill('SIGKILL');
      await end;
    }
    rmSync(folder, { recursive: true, force: true });
  });

  it(
    'finishes every model once although a worker is killed in the middle of one',
    async () => {
      const models = Array.from({ length: MODELS }, (_, i) => {
        const { points, faceVertexIndices, faceVertexCounts } = prism(3 + (i % 6), { height: 1 + i / 10 });
        const lines: string[] = [];
        for (let p = 0; p < points.length; p += 3) lines.push(`v ${[...points].slice(p, p + 3).join(' ')}`);
        let at = 0;
        for (const count of faceVertexCounts) {
          lines.push(
            `f ${[...faceVertexIndices]
              .slice(at, at + count)
              .map((point) => point + 1)
              .join(' ')}`,
          );
          at += count;
        }
        const file = join(folder, `post-${i}.obj`);
        writeFileSync(file, `${lines.join('\n')}\n`);
        return {
          file,
          folder: join(out, `post-${i}`),
          options: { sets: '1', effort: '0', resolution: '256' },
        };
      });
      const torn = { file: join(folder, 'missing.obj'), folder: join(out, 'missing') };
      await queueModels([...models, torn], { redis: REDIS });
      // Queued again while they wait, they are not there twice.
      await queueModels(models.slice(0, 3), { redis: REDIS });
      expect((await readFarm({ redis: REDIS })).waiting).toBe(MODELS + 1);

      const doomed = startWorker();
      await new Promise<void>((resolve) => doomed.stdout!.once('data', () => resolve()));
      const workers = [startWorker()];
      await until(async () => (await readFarm({ redis: REDIS })).active > 0);
      doomed.kill('SIGKILL');
      workers.push(startWorker());
      await until(async () => {
        const { waiting, active } = await readFarm({ redis: REDIS });
        return waiting + active === 0;
      });
      const status = await readFarm({ redis: REDIS });
      expect(status).toMatchObject({ done: MODELS, failed: 1, working: [] });
      expect(status.failures).toEqual([
        { file: torn.file, message: expect.stringContaining('FILE_UNREADABLE') },
      ]);
      expect(readdirSync(out).sort()).toEqual(models.map((_, i) => `post-${i}`).sort());
      for (const { folder: results } of models) {
        const { files } = JSON.parse(readFileSync(join(results, 'proposal.json'), 'utf8')) as {
          files: string[];
        };
        expect(readdirSync(results).sort()).toEqual([...files, 'record.json'].sort());
      }
      // A second night over the same models finds them done.
      await queueModels(models, { redis: REDIS });
      await until(async () => (await readFarm({ redis: REDIS })).done === MODELS);
      for (const worker of workers) {
        const end = ended(worker);
        worker.stdin!.end();
        await end;
        expect(worker.exitCode).toBe(0);
      }
    },
    IS_LONG ? 1_800_000 : 120_000,
  );
});

async function until(holds: () => Promise<boolean>): Promise<void> {
  while (!(await holds())) await new Promise((resolve) => setTimeout(resolve, 200));
}
