// Predicted against measured energy: node bench/prediction/run.mjs [--variants 120] [--models ../shared/meshes]
// Charts of even sources test (kept in --records FILE); with --fit, charts of odd sources give the terms of src/distortion/predict-model.ts.
import { existsSync, mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { buildSync } from 'esbuild';
import { drawPlot } from './plot.mjs';

const here = fileURLToPath(new URL('.', import.meta.url));
const root = join(here, '../..');
const option = (name, fallback) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? fallback : process.argv[at + 1];
};
const variants = Number(option('variants', '120'));
const models = join(root, option('models', '../shared/meshes'));
if (!existsSync(models)) console.log(`no models in ${models}: generated shapes only`);

const scratch = mkdtempSync(join(tmpdir(), 'seamwright-bench-'));
const bundle = join(scratch, 'collect.mjs');
buildSync({
  entryPoints: [join(here, 'collect.ts')],
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  outfile: bundle,
});
const { collect, fitRange, fitTerms, median, quantile, spearman } = await import(pathToFileURL(bundle).href);
const gather = async (parity) => {
  const records = [];
  await collect(
    parity,
    variants,
    models,
    (record) => records.push(record),
    (name, error) => console.log(`no measure of a chart of ${name}: ${error.message}`),
  );
  // Below a millionth the flattening's own tolerance speaks.
  return records.filter(({ energy, strain }) => energy - 4 > 1e-6 && strain > 0);
};

if (process.argv.includes('--fit')) {
  const records = await gather(1);
  if (option('records', '')) writeFileSync(`${option('records', '')}.fit`, JSON.stringify(records));
  const terms = fitTerms(records);
  const levels = [1e-3, 1e-2, 1e-1, 1, 10];
  const round = (value) => Number(value.toPrecision(3));
  const characters = records.filter(({ source }) => source !== 'knobs');
  const range = fitRange(characters, terms, levels);
  console.log(`fitted on ${records.length} charts: terms ${terms.map(round).join(', ')}`);
  console.log(`range low ${range.map(([low]) => round(low)).join(', ')}`);
  console.log(`range high ${range.map(([, high]) => round(high)).join(', ')}`);
}

const records = await gather(0);
if (option('records', '')) writeFileSync(option('records', ''), JSON.stringify(records));
const summarise = (list) => {
  const errors = list.map(({ energy, predicted }) => Math.abs((predicted - 4) / (energy - 4) - 1));
  const sorted = [...errors].sort((a, b) => a - b);
  const total = (key) => list.reduce((sum, record) => sum + record[key], 0);
  return {
    charts: list.length,
    spearman: spearman(
      list.map(({ predicted }) => predicted),
      list.map(({ energy }) => energy),
    ),
    medianError: median(errors),
    error90: quantile(sorted, 0.9),
    inRange: list.filter(({ energy, low, high }) => energy >= low && energy <= high).length / list.length,
    areaSpreadSpearman: spearman(
      list.map(({ predictedAreaSpread }) => predictedAreaSpread),
      list.map(({ areaSpread }) => areaSpread),
    ),
    worstFaceRank: median(list.map(({ worstFaceRank }) => worstFaceRank)),
    timeShare: total('predictMs') / total('flattenMs'),
    againTimeShare: total('againMs') / total('flattenMs'),
    medianTimeShare: median(list.map(({ predictMs, flattenMs }) => predictMs / flattenMs)),
  };
};
const figures = { all: summarise(records) };
for (const source of new Set(records.map((record) => record.source)))
  figures[source] = summarise(records.filter((record) => record.source === source));
for (const [from, to] of [
  [0, 0.01],
  [0.01, 0.1],
  [0.1, 1],
  [1, Infinity],
]) {
  const list = records.filter(({ energy }) => energy - 4 >= from && energy - 4 < to);
  if (list.length > 4) figures[`excess ${from}..${to}`] = summarise(list);
}
const percent = (share) => `${(100 * share).toFixed(1)} %`;
for (const [name, f] of Object.entries(figures))
  console.log(
    `${name.padEnd(18)} ${String(f.charts).padStart(5)} charts  Spearman ${f.spearman.toFixed(4)}  median error ${percent(f.medianError)}` +
      `  90th ${percent(f.error90)}  in range ${percent(f.inRange)}  area spread Spearman ${f.areaSpreadSpearman.toFixed(3)}` +
      `  worst face above ${percent(f.worstFaceRank)}  time ${percent(f.timeShare)} of flattening (median chart ${percent(f.medianTimeShare)}), with another seam ${percent(f.againTimeShare)}`,
  );
const { all } = figures;
writeFileSync(
  join(root, 'docs/prediction.svg'),
  drawPlot(records, [
    `${all.charts} charts, Spearman ${all.spearman.toFixed(3)}`,
    `median error of (energy − 4) ${percent(all.medianError)}`,
    `${percent(all.inRange)} inside the stated 90 % range`,
    `time ${percent(all.timeShare)} of flattening, ${percent(all.againTimeShare)} with another seam`,
  ]),
);
mkdirSync(join(here, '../results'), { recursive: true });
writeFileSync(
  join(here, '../results/prediction.json'),
  `${JSON.stringify({ node: process.version, cpu: cpus()[0]?.model, variants, figures }, undefined, 2)}\n`,
);
