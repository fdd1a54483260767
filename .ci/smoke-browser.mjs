// Bundles the installed package for browsers and uses it in a page and in a Web Worker.  usage: node smoke-browser.mjs FOLDER
import { existsSync } from 'node:fs';
import { build } from 'esbuild';
import { chromium } from 'playwright-core';

const folder = process.argv[2];
const executablePath = ['/usr/bin/chromium', '/usr/bin/chromium-browser'].find(existsSync);

const bundle = async (contents) => {
  const { outputFiles } = await build({
    stdin: { contents, resolveDir: folder, loader: 'js' },
    bundle: true,
    write: false,
    format: 'esm',
    platform: 'browser',
    // The glTF library names modules of Node.js that it loads there only.
    external: ['node:*'],
    logLevel: 'error',
  });
  return outputFiles[0].text;
};

const work = `
  import { arrangeCharts, buildMesh, flattenCharts, measureLayout, proposeSeams } from 'seamwright';
  import { readMesh, writeWithUvs } from 'seamwright/io';
  import { drawLayout, drawSurface } from 'seamwright/report';
  export async function work(text) {
    const document = await readMesh(new TextEncoder().encode(text), { name: 'cube.obj' });
    const mesh = buildMesh(document.mesh);
    const { sets } = await proposeSeams(mesh, { sets: 1 });
    const { uvs } = arrangeCharts(mesh, flattenCharts(mesh, sets[0]));
    const { flippedFaces, overlaps } = measureLayout(mesh, uvs);
    const { bytes } = await writeWithUvs(document, uvs, { format: 'glb' });
    const pictures = [drawLayout(mesh, { uvs }, sets[0]), drawSurface].length;
    return { corners: uvs.length / 2, faults: flippedFaces.length + overlaps.pairs.length, bytes: bytes.length, pictures };
  }`;
const page = await bundle(`${work}\n globalThis.work = work;`);
const worker = await bundle(
  `${work}\n onmessage = ({ data }) => work(data).then(postMessage, (error) => postMessage({ error: error.message }));`,
);
const cube = [
  ...['0 0 0', '1 0 0', '0 1 0', '1 1 0', '0 0 1', '1 0 1', '0 1 1', '1 1 1'].map((p) => `v ${p}`),
  ...['1 3 4 2', '5 6 8 7', '1 2 6 5', '3 7 8 4', '1 5 7 3', '2 4 8 6'].map((f) => `f ${f}`),
].join('\n');

if (!executablePath) console.log('bundled for browsers; not run: chromium is not installed');
else {
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
  try {
    const tab = await browser.newPage();
    const pages = {
      '/worker.js': { contentType: 'text/javascript', body: worker },
      '/page.js': { contentType: 'text/javascript', body: page },
    };
    const asked = [];
    await tab.route('**/*', (route) => {
      const { pathname } = new URL(route.request().url());
      asked.push(pathname);
      return route.fulfill(pages[pathname] ?? { contentType: 'text/html', body: '<!doctype html>' });
    });
    await tab.goto('http://puppets.test/');
    const inPage = await tab.evaluate(async (text) => {
      await import('/page.js');
      return globalThis.work(text);
    }, cube);
    const inWorker = await tab.evaluate(
      (text) =>
        new Promise((resolve) => {
          const thread = new Worker('/worker.js', { type: 'module' });
          thread.onmessage = ({ data }) => resolve(data);
          thread.onerror = ({ message }) => resolve({ error: message });
          thread.postMessage(text);
        }),
      cube,
    );
    for (const result of [inPage, inWorker])
      if (result.error || result.corners !== 24 || result.faults !== 0 || result.bytes < 500)
        throw new Error(`in the browser: ${JSON.stringify(result)}`);
    const more = asked.filter((path) => !['/', '/page.js', '/worker.js', '/favicon.ico'].includes(path));
    if (more.length > 0) throw new Error(`asked the network for ${more}`);
  } finally {
    await browser.close();
  }
}
