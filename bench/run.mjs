// The whole job on marionettes of growing size: time of each stage, peak memory, growth exponent.
// Usage: npm run bench -- [--sizes 1000,4000,13000,50000] [--runs 3] [--keep]
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { parseArgs } from 'node:util';
import { arrangeCharts, buildMesh, flattenCharts, measureLayout, proposeSeams } from '../dist/index.js';
import { makeMarionette } from '../dist/testing/index.js';

const { values } = parseArgs({
  options: {
    sizes: { type: 'string', default: '1000,4000,13000,50000' },
    runs: { type: 'string', default: '3' },
    keep: { type: 'boolean', default: false },
  },
});
const sizes = values.sizes.split(',').map(Number);
const runs = Number(values.runs);
const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));
const machine = `${cpus()[0].model.replace(/\W+/g, '-').toLowerCase()}-${cpus().length}`;
const folder = new URL('results/', import.meta.url);
const file = new URL(`job-${version}-${machine}.json`, folder);
const kept = existsSync(file) ? JSON.parse(readFileSync(file, 'utf8')) : undefined;
const STAGES = ['build', 'propose', 'flatten', 'arrange', 'measure', 'total'];

const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
let sink = 0;

async function runOnce(input) {
  const times = {};
  const clock = async (stage, work) => {
    const start = performance.now();
    const result = await work();
    times[stage] = (times[stage] ?? 0) + performance.now() - start;
    return result;
  };
  const mesh = await clock('build', () => buildMesh(input));
  const proposal = await clock('propose', () => proposeSeams(mesh, { sets: 3 }));
  for (const set of proposal.sets) {
    const flat = await clock('flatten', () => flattenCharts(mesh, set));
    const layout = await clock('arrange', () => arrangeCharts(mesh, flat));
    sink += (await clock('measure', () => measureLayout(mesh, layout.uvs))).energy;
  }
  times.total = Object.values(times).reduce((sum, t) => sum + t, 0);
  return times;
}

const rows = [];
for (const size of sizes) {
  const { mesh } = makeMarionette({ faces: size });
  const faces = mesh.faceVertexCounts.length;
  if (rows.length === 0) await runOnce(mesh);
  const samples = [];
  for (let i = 0; i < runs; i++) samples.push(await runOnce(mesh));
  const row = { faces, peakMegabytes: Math.round(process.resourceUsage().maxRSS / 1024) };
  for (const stage of STAGES) {
    const list = samples.map((sample) => sample[stage]);
    row[stage] = {
      median: Math.round(median(list)),
      least: Math.round(Math.min(...list)),
      most: Math.round(Math.max(...list)),
    };
  }
  rows.push(row);
  const before = kept?.rows.find((old) => old.faces === faces);
  const shown = STAGES.map((stage) => {
    const ratio = before ? ` (${(row[stage].median / before[stage].median).toFixed(2)}x)` : '';
    return `${stage} ${row[stage].median} ms${ratio}`;
  });
  console.log(`${faces} faces, peak ${row.peakMegabytes} MB: ${shown.join(', ')}`);
}
for (const stage of STAGES) {
  const [first, last] = [rows[0], rows[rows.length - 1]];
  const exponent = Math.log(last[stage].median / first[stage].median) / Math.log(last.faces / first.faces);
  if (rows.length > 1) console.log(`${stage}: time grows with faces to the power ${exponent.toFixed(2)}`);
}
if (values.keep) {
  mkdirSync(folder, { recursive: true });
  writeFileSync(file, `${JSON.stringify({ version, machine, rows }, null, 2)}\n`);
}
console.error(`checksum ${sink.toPrecision(6)}`);
