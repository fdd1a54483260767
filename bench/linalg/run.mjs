// Our factorisation against Eigen's SimplicialLDLT with AMD: node bench/linalg/run.mjs [--rounds 3] [--only lscm:50000]
// Needs g++ and Debian's libeigen3-dev. One process per matrix and solver, rounds interleaved; each process reports
// its fastest repeat (the machine may be busy), a row the median of the rounds' ratios.
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
const rounds = Number(option('rounds', '3'));
const only = option('only', '');
const scratch = mkdtempSync(join(tmpdir(), 'seamwright-bench-'));
const library = join(scratch, 'linalg.mjs');
buildSync({
  entryPoints: [join(here, '../../src/linalg/index.ts')],
  bundle: true,
  format: 'esm',
  platform: 'neutral',
  target: 'es2022',
  outfile: library,
});
const eigen = join(scratch, 'eigen-ldlt');
execFileSync('g++', [
  '-O3',
  '-march=native',
  '-I/usr/include/eigen3',
  join(here, 'eigen-ldlt.cpp'),
  '-o',
  eigen,
]);

const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];
const run = (command, args) => JSON.parse(execFileSync(command, args, { maxBuffer: 1 << 26 }).toString());
const rows = [];
for (const count of [10_000, 50_000, 200_000]) {
  for (const family of ['lap', 'lscm', 'lscma']) {
    if (only && !`${family}:${count}`.startsWith(only)) continue;
    const file = join(scratch, `${family}-${count}.bin`);
    const script = join(here, 'time-ours.mjs');
    const repeats = count > 100_000 ? 5 : 15;
    execFileSync(process.execPath, [script, library, family, String(count), '0', file]);
    const results = Array.from({ length: rounds }, () => ({
      eigen: run(eigen, [file, String(family !== 'lap' && count > 100_000 ? 2 : Math.min(7, repeats))]),
      ours: run(process.execPath, [script, library, family, String(count), String(repeats)]),
    }));
    const ratio = (name) => median(results.map((r) => r.ours[name] / r.eigen[name]));
    const cold = median(
      results.map(
        ({ ours, eigen: e }) =>
          (ours.coldAnalyse + ours.coldFactor + ours.solve) / (e.analyse + e.factor + e.solve),
      ),
    );
    const row = {
      system: `${family} ${count / 1000}k`,
      eigenFactorMs: median(results.map((r) => r.eigen.factor)),
      factorMs: median(results.map((r) => r.ours.factor)),
      factorRatio: ratio('factor'),
      factorSpread: [
        Math.min(...results.map((r) => r.ours.factor / r.eigen.factor)),
        Math.max(...results.map((r) => r.ours.factor / r.eigen.factor)),
      ],
      analyseRatio: ratio('analyse'),
      solveRatio: ratio('solve'),
      coldRatio: cold,
      fillRatio: ratio('factorEntries'),
      storedShare: results[0].ours.stored / results[0].ours.factorEntries,
    };
    rows.push(row);
    const f = (x) => x.toFixed(2).padStart(6);
    console.log(
      `${row.system.padEnd(11)} Eigen ${row.eigenFactorMs.toFixed(1).padStart(8)} ms  ours ${row.factorMs.toFixed(1).padStart(8)} ms` +
        `  factor ${f(row.factorRatio)}x [${row.factorSpread.map((x) => x.toFixed(2)).join(', ')}]  analyse ${f(row.analyseRatio)}x` +
        `  solve ${f(row.solveRatio)}x  cold ${f(cold)}x  fill ${f(row.fillRatio)}x  stored/fill ${f(row.storedShare)}`,
    );
  }
}
if (!only) {
  const out = join(here, '../results');
  mkdirSync(out, { recursive: true });
  const report = { node: process.version, cpu: cpus()[0]?.model, cores: cpus().length, rounds, rows };
  writeFileSync(join(out, 'linalg.json'), `${JSON.stringify(report, undefined, 2)}\n`);
}
