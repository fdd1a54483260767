// The whole job and its stages on a ladder of sizes: npm run bench -- [--shapes puppet,scan,shells,hard]
//   [--sizes 1000,4000,13000] [--rounds 1] [--limit 600] [--keep]
// Each case runs in a process of its own, which gives its peak memory. Processor time counts, as other programs may
// share the machine; wall time stands beside it. Figures are medians over the rounds; ratios are against the result
// kept last for this machine. `--keep` writes bench/results/job-VERSION-MACHINE.json, over what it had of the same cases.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { buildSync } from 'esbuild';

const { values } = parseArgs({
  options: {
    shapes: { type: 'string', default: 'puppet,scan,shells,hard' },
    sizes: { type: 'string', default: '1000,4000,13000' },
    rounds: { type: 'string', default: '1' },
    limit: { type: 'string', default: '600' },
    keep: { type: 'boolean', default: false },
  },
});
const here = fileURLToPath(new URL('.', import.meta.url));
const shapes = values.shapes.split(',');
const sizes = values.sizes.split(',').map(Number);
const { version } = JSON.parse(readFileSync(join(here, '../package.json'), 'utf8'));
const machine = `${cpus()[0].model.replace(/\W+/g, '-').replace(/-$/, '').toLowerCase()}-${cpus().length}`;
const folder = join(here, 'results');
const file = join(folder, `job-${version}-${machine}.json`);

const script = join(mkdtempSync(join(tmpdir(), 'seamwright-bench-')), 'case.mjs');
buildSync({
  entryPoints: [join(here, 'job/time-case.ts')],
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'es2022',
  external: ['three', 'three-mesh-bvh'],
  banner: {
    js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);",
  },
  outfile: script,
});

/** The newest kept result of this machine. */
function readKept() {
  if (!existsSync(folder)) return [];
  const names = readdirSync(folder).filter(
    (name) => name.startsWith('job-') && name.endsWith(`-${machine}.json`),
  );
  const last = names.sort((a, b) => a.localeCompare(b, 'en', { numeric: true })).at(-1);
  return last ? JSON.parse(readFileSync(join(folder, last), 'utf8')).rows : [];
}

const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];
const round = (x) => Number(x.toFixed(3));
const kept = readKept();
const rows = [];
for (const shape of shapes) {
  const own = [];
  for (const size of sizes) {
    const runs = [];
    for (let i = 0; i < Number(values.rounds); i++) {
      const { stdout, status, stderr } = spawnSync(
        process.execPath,
        ['--max-old-space-size=8000', script, shape, String(size)],
        {
          encoding: 'utf8',
          timeout: 1000 * Number(values.limit),
          maxBuffer: 1 << 26,
        },
      );
      if (status === 0) runs.push(JSON.parse(stdout));
      else console.log(`${shape} ${size}: not finished in ${values.limit} s ${stderr.split('\n')[0]}`);
    }
    if (runs.length === 0) break;
    const stages = {};
    for (const name of Object.keys(runs[0].stages))
      stages[name] = {
        cpu: round(median(runs.map((run) => run.stages[name].cpu))),
        wall: round(median(runs.map((run) => run.stages[name].wall))),
      };
    const row = {
      shape,
      faces: runs[0].faces,
      peakMegabytes: median(runs.map((run) => run.peakMegabytes)),
      stages,
    };
    own.push(row);
    const before = kept.find((old) => old.shape === shape && old.faces === row.faces);
    const shown = Object.entries(stages).map(([name, { cpu }]) => {
      const old = before?.stages[name]?.cpu;
      return `${name} ${cpu.toFixed(2)}${old > 0.02 ? ` (${(cpu / old).toFixed(2)}x)` : ''}`;
    });
    console.log(
      `${shape} ${row.faces} faces, peak ${row.peakMegabytes} MB, processor seconds: ${shown.join(', ')}; wall ${stages.total.wall.toFixed(2)}`,
    );
  }
  rows.push(...own);
  if (own.length < 2) continue;
  const [first, last] = [
    own[own.length - 2].faces < 3000 ? own[0] : own.find(({ faces }) => faces > 3000),
    own.at(-1),
  ];
  const powers = Object.keys(last.stages).map((name) => {
    const power =
      Math.log(last.stages[name].cpu / first.stages[name].cpu) / Math.log(last.faces / first.faces);
    return `${name} ${power.toFixed(2)}`;
  });
  console.log(
    `${shape}: from ${first.faces} to ${last.faces} faces time grows with the power ${powers.join(', ')}`,
  );
}
if (values.keep) {
  mkdirSync(folder, { recursive: true });
  const isNew = (old) => rows.some(({ shape, faces }) => old.shape === shape && old.faces === faces);
  const others = existsSync(file)
    ? JSON.parse(readFileSync(file, 'utf8')).rows.filter((old) => !isNew(old))
    : [];
  const order = (row) => `${row.shape} ${String(row.faces).padStart(9, '0')}`;
  const all = [...others, ...rows].sort((a, b) => order(a).localeCompare(order(b)));
  writeFileSync(file, `${JSON.stringify({ version, machine, node: process.version, rows: all }, null, 2)}\n`);
}
