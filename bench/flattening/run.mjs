// Time to flatten one large chart to convergence: node bench/flattening/run.mjs [--sizes 10000,40000,100000,400000] [--rounds 3]
// One process per chart and round. Counted is the processor's time, which a busy machine disturbs least; the growth
// exponent is between the smallest and the largest chart.
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildSync } from 'esbuild';

const here = fileURLToPath(new URL('.', import.meta.url));
const option = (name, fallback) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? fallback : process.argv[at + 1];
};
const sizes = option('sizes', '10000,40000,100000,400000').split(',').map(Number);
const rounds = Number(option('rounds', '3'));
const script = join(mkdtempSync(join(tmpdir(), 'seamwright-bench-')), 'time.mjs');
buildSync({
  entryPoints: [join(here, 'time.ts')],
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  outfile: script,
});

const run = (size) =>
  JSON.parse(
    execFileSync(process.execPath, [script, String(size), size > 50_000 ? '1' : '5'], { maxBuffer: 1 << 26 }),
  );
const samples = Array.from({ length: rounds }, () => sizes.map(run));
const rows = sizes.map((_, k) => {
  const list = samples.map((sample) => sample[k]).sort((a, b) => a.cpu - b.cpu);
  const { cpu, wall, ...row } = list[0];
  return {
    ...row,
    cpuMs: Math.round(cpu),
    mostCpuMs: Math.round(list[list.length - 1].cpu),
    wallMs: Math.round(wall),
  };
});
for (const row of rows)
  console.log(
    `${row.faces} faces: ${row.cpuMs} ms of processor time (to ${row.mostCpuMs}), ${row.iterations} steps, energy ${row.energy.toFixed(6)}, peak ${row.peakMegabytes} MB`,
  );
const [first, last] = [rows[0], rows[rows.length - 1]];
const exponent = Math.log(last.cpuMs / first.cpuMs) / Math.log(last.faces / first.faces);
console.log(`time grows with the faces to the power ${exponent.toFixed(2)}`);
mkdirSync(join(here, '../results'), { recursive: true });
writeFileSync(
  join(here, '../results/flattening.json'),
  `${JSON.stringify({ node: process.version, cpu: cpus()[0]?.model, cores: cpus().length, rounds, exponent, rows }, undefined, 2)}\n`,
);
