// Arranging seeded outlines and the marionette: fill of the sheet against effort and time.
// Usage, after a build: node bench/layout/run.mjs [--counts 50,5000] [--keep]
import { readFileSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { parseArgs } from 'node:util';
import { arrangeCharts, buildMesh, flattenCharts, proposeSeams } from '../../dist/index.js';
import { makeMarionette } from '../../dist/testing/index.js';

const { values } = parseArgs({
  options: {
    counts: { type: 'string', default: '50,5000' },
    keep: { type: 'boolean', default: false },
  },
});
const rows = [];

function seeded(seed) {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296;
  };
}

/** Star-shaped outlines of 8 to 20 corners, the largest about six times as wide as the smallest. */
function outlines(count) {
  const random = seeded(7);
  const points = [];
  const faceVertexCounts = [];
  const charts = [];
  for (let f = 0; f < count; f++) {
    const corners = 8 + Math.floor(13 * random());
    const size = 0.3 + 1.5 * random() ** 2;
    const uvs = [];
    for (let k = 0; k < corners; k++) {
      const radius = size * (0.5 + 0.5 * random());
      const angle = (2 * Math.PI * k) / corners;
      uvs.push(radius * Math.cos(angle), radius * Math.sin(angle));
    }
    const first = points.length / 3;
    for (let k = 0; k < corners; k++) points.push(uvs[2 * k] + 4 * f, uvs[2 * k + 1], 0);
    faceVertexCounts.push(corners);
    charts.push({ faces: [f], corners: Array.from({ length: corners }, (_, k) => first + k), uvs });
  }
  const faceVertexIndices = Array.from({ length: points.length / 3 }, (_, k) => k);
  return { mesh: buildMesh({ points, faceVertexCounts, faceVertexIndices }), flat: { charts } };
}

function measure(name, { mesh, flat }, options) {
  const start = process.cpuUsage();
  const layout = arrangeCharts(mesh, flat, options);
  const { user, system } = process.cpuUsage(start);
  const row = {
    name,
    charts: flat.charts.length,
    ...options,
    fill: Number(layout.fill.toFixed(4)),
    cpuSeconds: Number(((user + system) / 1e6).toFixed(2)),
  };
  rows.push(row);
  console.log(
    `${name}, ${row.charts} charts, ${JSON.stringify(options)}: fill ${row.fill}, ${row.cpuSeconds} s of processor`,
  );
}

for (const count of values.counts.split(',').map(Number)) measure('outlines', outlines(count), {});
const mesh = buildMesh(makeMarionette({ faces: 4000 }).mesh);
const { sets } = await proposeSeams(mesh, { sets: 3 });
for (const [k, set] of sets.entries()) {
  const flat = flattenCharts(mesh, set);
  for (const effort of [0.125, 0.5, 1])
    measure(`marionette, set ${k + 1}`, { mesh, flat }, { rotation: 'free', effort });
  measure(`marionette, set ${k + 1}`, { mesh, flat }, { rotation: 'none', effort: 1 });
}
if (values.keep) {
  const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
  const file = new URL('../results/layout.json', import.meta.url);
  writeFileSync(file, `${JSON.stringify({ version, machine: cpus()[0].model, rows }, null, 2)}\n`);
}
