// The review page of a large model in Debian's chromium: bytes, time to open, and time of a turn, a step of
// opening it, and of pointing at a place. Drawn in software where there is no graphics card, so these are upper bounds.
// Usage: npm run build && node bench/report/review-page.mjs [--faces 200000] [--sets 3] [--steps 20] [--plain-page]
// With --plain-page the browser puts the page together without a graphics card, as where it finds none.
import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { chromium } from 'playwright-core';
import { packReview, writeReportPage } from '../../dist/report/index.js';
import { makeMarionette } from '../../dist/testing/index.js';

const { values } = parseArgs({
  options: {
    faces: { type: 'string', default: '200000' },
    sets: { type: 'string', default: '3' },
    steps: { type: 'string', default: '20' },
    'plain-page': { type: 'boolean', default: false },
  },
});
const steps = Number(values.steps);
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

/** Every piece of wood is one chart, seen from the front in a cell of its own: the cost is that of a real sheet. */
function makeModel(faces, setCount) {
  const { points, faceVertexCounts, faceVertexIndices } = makeMarionette({ faces }).mesh;
  const root = Int32Array.from({ length: points.length / 3 }, (_, p) => p);
  const find = (p) => {
    while (root[p] !== p) p = root[p] = root[root[p]];
    return p;
  };
  const faceCount = faceVertexCounts.length;
  const firsts = new Int32Array(faceCount + 1);
  for (let f = 0; f < faceCount; f++) {
    firsts[f + 1] = firsts[f] + faceVertexCounts[f];
    for (let c = firsts[f] + 1; c < firsts[f + 1]; c++)
      root[find(faceVertexIndices[c])] = find(faceVertexIndices[firsts[f]]);
  }
  const charts = new Map();
  const faceCharts = Int32Array.from({ length: faceCount }, (_, f) => {
    const shell = find(faceVertexIndices[firsts[f]]);
    if (!charts.has(shell))
      charts.set(shell, {
        id: charts.size,
        low: [Infinity, Infinity],
        high: [-Infinity, -Infinity],
        faceCount: 0,
      });
    const chart = charts.get(shell);
    chart.faceCount++;
    for (let c = firsts[f]; c < firsts[f + 1]; c++)
      for (let k = 0; k < 2; k++) {
        const x = points[3 * faceVertexIndices[c] + k];
        chart.low[k] = Math.min(chart.low[k], x);
        chart.high[k] = Math.max(chart.high[k], x);
      }
    return chart.id;
  });
  const list = [...charts.values()];
  const side = Math.ceil(Math.sqrt(list.length));
  const uvs = new Float32Array(2 * faceVertexIndices.length);
  const seams = list.map(() => []);
  for (let f = 0; f < faceCount; f++) {
    const { id, low, high } = list[faceCharts[f]];
    const size = Math.max(high[0] - low[0], high[1] - low[1]) || 1;
    for (let c = firsts[f]; c < firsts[f + 1]; c++) {
      const p = faceVertexIndices[c];
      uvs[2 * c] = ((id % side) + 0.05 + (0.9 * (points[3 * p] - low[0])) / size) / side;
      uvs[2 * c + 1] = (Math.floor(id / side) + 0.05 + (0.9 * (points[3 * p + 1] - low[1])) / size) / side;
    }
    if (f % 40 === 0) seams[faceCharts[f]].push(firsts[f]);
  }
  const figures = {
    stretch: 0.1,
    predicted: 0.1,
    exposure: 1,
    frontExposure: 1,
    seamLength: 1,
    pieces: list.length,
    symmetry: 1,
    fill: 0.7,
    score: 0.5,
  };
  const set = {
    name: 'by shells',
    summary: 'One piece for each shell.',
    figures,
    resolution: 2048,
    seams: seams.map((corners, i) => ({
      role: 'opening',
      label: `piece ${i + 1}`,
      length: 1,
      exposure: 0.5,
      reason: 'it is here',
      colour: '#103090',
      dash: '',
      corners,
    })),
    charts: list.map(({ id, faceCount: count }) => ({
      label: `piece ${id + 1}`,
      faceCount: count,
      area: count,
      predicted: 0.1,
      predictedLow: 0.1,
      predictedHigh: 0.2,
      measured: 0.1,
    })),
    faceCharts,
    uvs,
    faceRatio: new Float32Array(faceCount).fill(1),
    faceArea: Float32Array.from({ length: faceCount }, (_, f) => Math.sin(f / 50) / 3),
  };
  return {
    name: 'marionette',
    up: [0, 1, 0],
    front: [0, 0, 1],
    points: Float32Array.from(points),
    faceVertexCounts: Int32Array.from(faceVertexCounts),
    faceVertexIndices: Int32Array.from(faceVertexIndices),
    parts: ['figure'],
    faceParts: new Int32Array(faceCount),
    faceExposure: Float32Array.from({ length: faceCount }, (_, f) => (f % 101) / 100),
    sets: Array.from({ length: setCount }, () => set),
    dropped: [],
  };
}

/** Processor seconds of the browser so far, all of its processes taken together. */
async function processorSeconds(browser) {
  const session = await browser.newBrowserCDPSession();
  const { processInfo } = await session.send('SystemInfo.getProcessInfo');
  await session.detach();
  return processInfo.reduce((sum, { cpuTime }) => sum + cpuTime, 0);
}

/** Turns the figure for some seconds, a little at every frame, and counts the pictures that come of it. */
async function drag(browser, page, figure) {
  const box = await figure.boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + 200);
  await page.mouse.down();
  const turn = (seconds) =>
    page.evaluate(
      `new Promise((done) => {
        const panel = document.querySelector('.panel.figure');
        const pane = panel.querySelector('.window');
        const { left, top, width } = pane.getBoundingClientRect();
        const start = performance.now();
        const first = Number(panel.dataset.pictures);
        let i = 0;
        const step = () => {
          const passed = performance.now() - start;
          if (passed > ${1000 * seconds}) {
            const pictures = Number(panel.dataset.pictures) - first;
            const { drawn, triangles } = panel.dataset;
            done({
              pictures,
              'pictures a second': Number((1000 * pictures / passed).toFixed(1)),
              'frames a second of the page': Number((1000 * i / passed).toFixed(1)),
              drawn,
              triangles: Number(triangles),
            });
            return;
          }
          i++;
          pane.dispatchEvent(new PointerEvent('pointermove', {
            pointerId: 1, clientX: left + width / 2 + 80 * Math.sin(i / 20), clientY: top + 200, buttons: 1, bubbles: true,
          }));
          requestAnimationFrame(step);
        };
        requestAnimationFrame(step);
      })`,
    );
  const measured = async (seconds) => {
    const before = await processorSeconds(browser);
    const { pictures, ...rest } = await turn(seconds);
    const spent = 1000 * ((await processorSeconds(browser)) - before);
    return { ...rest, 'processor ms a picture': Math.round(spent / pictures) };
  };
  const result = {
    'the first second': await measured(1),
    'the next 3 s': await measured(3),
    after: await measured(8),
  };
  await page.mouse.up();
  return result;
}

const folder = mkdtempSync(join(tmpdir(), 'seamwright-review-'));
const file = join(folder, 'report.html');
const model = makeModel(Number(values.faces), Number(values.sets));
const table = { caption: 'none', columns: [], rows: [] };
writeFileSync(
  file,
  writeReportPage({
    title: 'Marionette',
    facts: [],
    notes: [],
    comparison: table,
    sets: [],
    review: packReview(model),
  }),
);
const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  args: [
    '--no-sandbox',
    '--use-gl=angle',
    '--use-angle=swiftshader',
    '--enable-unsafe-swiftshader',
    ...(values['plain-page'] ? ['--disable-gpu-compositing'] : []),
  ],
});
try {
  const page = await browser.newPage({ viewport: { width: 1280, height: 720 } });
  page.setDefaultTimeout(120_000);
  page.on('pageerror', (error) => console.error(error.message));
  const start = performance.now();
  await page.goto(`file://${file}`);
  await page.waitForSelector('#review[data-ready=yes]');
  const opened = performance.now() - start;
  const frame = 'new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))';
  await page.evaluate(frame);
  const firstDrawn = performance.now() - start;
  const cdp = await page.context().newCDPSession(page);
  await cdp.send('Performance.enable');
  const scriptSeconds = async () => {
    const { metrics } = await cdp.send('Performance.getMetrics');
    return metrics.find(({ name }) => name === 'TaskDuration').value;
  };
  const clock = async (act) => {
    const times = [];
    const before = await scriptSeconds();
    for (let i = 0; i < steps; i++) {
      const from = performance.now();
      await act(i);
      await page.evaluate(frame);
      times.push(performance.now() - from);
    }
    return {
      'ms a step, median': Math.round(median(times)),
      'of which on the page’s own thread': Math.round((1000 * ((await scriptSeconds()) - before)) / steps),
    };
  };
  const figure = page.locator('.panel.figure .window').first();
  // Before anything else, when the page knows as little of the machine as it does for a reader who drags at once.
  await page.waitForSelector('.stage[data-shown=whole]');
  const wholeDrawn = performance.now() - start;
  const firstDrag = await drag(browser, page, figure);
  const idle = await clock(async () => {});
  await figure.focus();
  const box = await figure.boundingBox();
  const result = {
    faces: model.faceVertexCounts.length,
    sets: model.sets.length,
    'file, MB': Number((statSync(file).size / 1e6).toFixed(2)),
    'bytes a face': Number((statSync(file).size / model.faceVertexCounts.length).toFixed(1)),
    'open, s': Number((opened / 1000).toFixed(2)),
    'first picture, s': Number((firstDrawn / 1000).toFixed(2)),
    'first whole picture, s': Number((wholeDrawn / 1000).toFixed(2)),
    'the first drag': firstDrag,
    'two frames with nothing to do': idle,
    'pointing at the figure': await clock((i) =>
      page.mouse.move(
        box.x + box.width * (0.4 + 0.2 * (i % 2) + 0.002 * i),
        box.y + box.height * (0.2 + 0.03 * i),
      ),
    ),
    'a later drag': await drag(browser, page, figure),
    'a step of laying flat': await clock((i) =>
      page.evaluate(
        `(() => { const slider = document.querySelector('#unfold'); slider.value = ${i * 5}; slider.dispatchEvent(new Event('input')); })()`,
      ),
    ),
    'another set': await clock((i) =>
      page
        .locator('.ticket')
        .nth(i % model.sets.length)
        .click(),
    ),
    'another shading': await clock((i) => page.selectOption('#shading', i % 2 ? 'area' : 'charts')),
  };
  process.stdout.write(`${JSON.stringify(result, null, 2)}\n`);
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
