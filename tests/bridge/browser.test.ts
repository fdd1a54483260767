import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { build } from 'esbuild';
import type { Browser, Page } from 'playwright-core';
import { chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { arrangeCharts, buildMesh, flattenCharts, proposeSeams } from '../../src/index.js';
import { capsule } from '../../src/testing/index.js';

const CHROMIUM = ['/usr/bin/chromium', '/usr/bin/chromium-browser'].find(existsSync);
if (!CHROMIUM) console.warn('skipped: no Web Worker is tested, as chromium is not installed');

type Message = Record<string, unknown> & { kind: string };

describe.skipIf(!CHROMIUM)('a Web Worker of a page', () => {
  let browser: Browser;
  let page: Page;

  beforeAll(async () => {
    const { outputFiles } = await build({
      entryPoints: [resolve(import.meta.dirname, 'web-worker.ts')],
      bundle: true,
      write: false,
      format: 'iife',
      platform: 'browser',
      // A library's reader of files asks for these when it is called, which nothing here does.
      external: ['node:*'],
      target: 'es2022',
      logLevel: 'error',
    });
    browser = await chromium.launch({ executablePath: CHROMIUM!, args: ['--no-sandbox'] });
    page = await browser.newPage();
    // Answered here: nothing is fetched from anywhere.
    await page.route('**/*', (route) =>
      route.request().url().endsWith('/worker.js')
        ? route.fulfill({ contentType: 'text/javascript', body: outputFiles[0]!.text })
        : route.fulfill({ contentType: 'text/html', body: '<!doctype html><title>puppets</title>' }),
    );
    await page.goto('http://puppets.test/');
    await page.addScriptTag({
      content: `
        const worker = new Worker('/worker.js');
        const seen = [];
        const waiting = [];
        worker.onmessage = ({ data }) => { seen.push(data); for (const wake of waiting.splice(0)) wake(); };
        worker.onerror = (event) => { seen.push({ kind: 'failed', message: event.message }); for (const wake of waiting.splice(0)) wake(); };
        const plain = (value) => ArrayBuffer.isView(value) ? [...value] : value;
        window.send = (message, transfer) => worker.postMessage(message, transfer);
        window.receive = async (kinds) => {
          for (;;) {
            const at = seen.findIndex((each) => each.kind === 'failed' || kinds.includes(each.kind));
            if (at >= 0) return Object.fromEntries(Object.entries(seen.splice(at, 1)[0]).map(([k, v]) => [k, plain(v)]));
            await new Promise((resolve) => waiting.push(resolve));
          }
        };
        window.work = (mesh) => {
          const input = { points: Float64Array.from(mesh.points), faceVertexCounts: Int32Array.from(mesh.faceVertexCounts), faceVertexIndices: Int32Array.from(mesh.faceVertexIndices) };
          window.send({ kind: 'work', mesh: input }, Object.values(input).map((array) => array.buffer));
        };`,
    });
  }, 60_000);
  afterAll(() => browser?.close());

  const receive = (...kinds: string[]) =>
    page.evaluate(`receive(${JSON.stringify(kinds)})`) as Promise<Message>;
  const shape = capsule({ segments: 8, rows: 2, capRows: 2 });
  const plainShape = {
    points: [...shape.points],
    faceVertexCounts: [...shape.faceVertexCounts],
    faceVertexIndices: [...shape.faceVertexIndices],
  };

  it('gives what Node.js gives, over transferred arrays', async () => {
    const mesh = buildMesh(shape);
    const { sets } = await proposeSeams(mesh, { sets: 1 });
    const layout = arrangeCharts(mesh, flattenCharts(mesh, sets[0]!), { effort: 0 });
    await page.evaluate(`work(${JSON.stringify(plainShape)})`);
    const done = await receive('done');
    expect(done).toMatchObject({ kind: 'done', edges: sets[0]!.seams.flatMap((seam) => seam.edges.flat()) });
    const uvs = done.uvs as number[];
    expect(uvs).toHaveLength(layout.uvs.length);
    uvs.forEach((value, i) => {
      expect(value).toBeCloseTo(layout.uvs[i]!, 6);
    });
    expect(await receive('left')).toEqual({ kind: 'left', bytes: 0 });
    expect((await receive('progress')).share).toBe(0);
  });

  it('stops on its signal', async () => {
    await page.evaluate(`work(${JSON.stringify(plainShape)}); send({ kind: 'cancel' })`);
    expect(await receive('done')).toMatchObject({ kind: 'failed', code: 'CANCELLED' });
  });

  it('serves the bridge conversation by messages', async () => {
    const call = async (id: number, method: string, params: object) => {
      const text = JSON.stringify({ jsonrpc: '2.0', id, method, params });
      await page.evaluate(`send(${JSON.stringify({ kind: 'rpc', text })})`);
      return JSON.parse((await receive('rpc')).text as string) as { result: Record<string, unknown> };
    };
    await call(1, 'bridge/greet', { protocol: 1 });
    const { result } = await call(2, 'mesh/open', plainShape);
    expect(result).toMatchObject({ faces: shape.faceVertexCounts.length, shells: 1 });
    expect((await call(3, 'bridge/status', {})).result.meshes).toEqual([result.mesh]);
  });
});
