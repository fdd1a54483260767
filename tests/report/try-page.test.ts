import type { ChildProcess } from 'node:child_process';
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createGlb, createObj } from '../../src/io/index.js';
import { icoSphere, makeMarionette } from '../../src/testing/index.js';
import { chromiumPath, findSerious, launchBrowser } from './browser.js';

/** Drops a file on the page, as from a folder's window. */
const DROP = `(name, base64) => {
  const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
  const dataTransfer = new DataTransfer();
  dataTransfer.items.add(new File([bytes], name));
  document.body.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
}`;

describe.skipIf(!chromiumPath)('the page to try', () => {
  let server: ChildProcess;
  let address: string;
  let browser: Browser;

  beforeAll(async () => {
    const script = fileURLToPath(new URL('../../docs/try/serve.mjs', import.meta.url));
    server = spawn(process.execPath, [script, '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
    address = await new Promise<string>((done, fail) => {
      server.on('exit', () => fail(new Error('the server ended')));
      server.stdout!.on('data', (text: Buffer) => {
        const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(text.toString());
        if (found) done(found[0]);
      });
    });
    browser = await launchBrowser();
  }, 120_000);

  afterAll(async () => {
    await browser?.close();
    server?.kill();
  });

  it('takes an OBJ and a GLB that are dropped on it, without complaint and from this machine only', async () => {
    const page = await browser.newPage({ viewport: { width: 1280, height: 720 } });
    page.setDefaultTimeout(100_000);
    const complaints: string[] = [];
    page.on('console', (message) => {
      if (!/GPU stall due to ReadPixels/.test(message.text())) complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(error.message));
    page.on('request', (request) => {
      if (!request.url().startsWith(address) && !/^(data|blob):/.test(request.url()))
        complaints.push(`request: ${request.url()}`);
    });
    await page.goto(address);
    expect(await findSerious(page)).toEqual([]);
    const drop = (name: string, bytes: Uint8Array) =>
      page.evaluate(`(${DROP})(${JSON.stringify(name)}, '${Buffer.from(bytes).toString('base64')}')`);
    const told = () => page.locator('#told').textContent();

    const figure = makeMarionette({ faces: 500, buttons: 0 }).mesh;
    const ball = icoSphere({ level: 1 });
    const files = [
      ['figure.obj', createObj(figure).source, figure.faceVertexCounts.length],
      [
        'ball.glb',
        await createGlb(ball, new Float64Array(2 * ball.faceVertexIndices.length)),
        ball.faceVertexCounts.length,
      ],
    ] as const;
    for (const [name, bytes, triangles] of files) {
      await drop(name, bytes);
      await expect.poll(told, { timeout: 100_000 }).toContain(`Seam sets for ${name}.`);
      await page.waitForSelector('.stage[data-shown=whole]');
      expect(await page.locator('.ticket').count()).toBeGreaterThan(0);
      expect(
        Number(await page.locator('.panel.figure').first().getAttribute('data-triangles')),
      ).toBeGreaterThanOrEqual(triangles);
    }
    await drop('none.obj', new TextEncoder().encode('no mesh at all'));
    await expect.poll(told, { timeout: 60_000 }).toContain('format of the input is not known');
    expect(await page.locator('#progress').isHidden()).toBe(true);
    expect(complaints).toEqual([]);
    await page.close();
  }, 240_000);
});
