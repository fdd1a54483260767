// How the time of finding parts grows: node bench/parts.mjs [--sizes 10000,63000,250000,1000000] [--runs 3] [--keep]
// Processor time, the least of the runs. Beyond the generator's 250,000 faces each face is split in four.
// What is to be found must not change with size: the counts of parts are compared.
import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { buildSync } from 'esbuild';

const { values } = parseArgs({
  options: {
    sizes: { type: 'string', default: '10000,63000,250000,1000000' },
    runs: { type: 'string', default: '3' },
    keep: { type: 'boolean', default: false },
  },
});
const here = fileURLToPath(new URL('.', import.meta.url));
const outfile = join(mkdtempSync(join(tmpdir(), 'seamwright-bench-')), 'parts.mjs');
buildSync({
  stdin: {
    contents: ['mesh', 'regions', 'testing']
      .map((name) => `export * from '../src/${name}/index.ts';`)
      .join('\n'),
    resolveDir: here,
  },
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'es2022',
  outfile,
});
const { buildMesh, findParts, makeMarionette, subdivideMesh } = await import(pathToFileURL(outfile));

const LARGEST = 250000;
const inputOf = (faces) =>
  faces <= LARGEST ? makeMarionette({ faces }).mesh : subdivideMesh(inputOf(faces / 4)).mesh;

const rows = [];
for (const size of values.sizes.split(',').map(Number)) {
  const mesh = buildMesh(inputOf(size));
  let seconds = Infinity;
  let parts = 0;
  for (let run = 0; run < Number(values.runs); run++) {
    const start = process.cpuUsage();
    parts = findParts(mesh, { mirror: null }).parts.length;
    const { user, system } = process.cpuUsage(start);
    seconds = Math.min(seconds, (user + system) / 1e6);
  }
  const row = { faces: mesh.faceCount, seconds: Number(seconds.toFixed(3)), parts };
  rows.push(row);
  console.log(`${row.faces} faces: ${row.seconds} s, ${parts} parts`);
}
const [first, last] = [rows[0], rows.at(-1)];
const growth = Math.log(last.seconds / first.seconds) / Math.log(last.faces / first.faces);
console.log(`time grows with faces to the power ${growth.toFixed(2)}`);
if (values.keep) {
  const folder = new URL('results/', import.meta.url);
  mkdirSync(folder, { recursive: true });
  const result = {
    node: process.version,
    processor: cpus()[0].model,
    growth: Number(growth.toFixed(2)),
    rows,
  };
  writeFileSync(new URL('parts.json', folder), `${JSON.stringify(result, null, 2)}\n`);
}
