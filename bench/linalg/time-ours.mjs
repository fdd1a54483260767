// Times our solver on one system, in a process of its own: node time-ours.mjs LIBRARY FAMILY COUNT REPEATS
import { writeFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { makeConformal, makeConformalArea, makeLaplacian, makePatch } from './systems.mjs';

const [library, family, count, repeats, matrixFile] = process.argv.slice(2);
const { analyse, assembleSymmetric, LdlSolver, multiply } = await import(pathToFileURL(library).href);
const make = { lap: makeLaplacian, lscm: makeConformal, lscma: makeConformalArea }[family];
const { size, rows, columns, values, groups } = make(makePatch(Number(count)));
const matrix = assembleSymmetric(size, rows, columns, values);
if (matrixFile) {
  writeFileSync(
    matrixFile,
    Buffer.concat(
      [Int32Array.of(size, matrix.values.length), matrix.columnOffsets, matrix.entryRows, matrix.values].map(
        (a) => Buffer.from(a.buffer, a.byteOffset, a.byteLength),
      ),
    ),
  );
} else {
  const b = Float64Array.from({ length: size }, (_, i) => Math.sin(i + 1));
  const times = { analyse: [], factor: [], solve: [] };
  const clock = (name, work) => {
    const start = performance.now();
    const result = work();
    times[name].push(performance.now() - start);
    return result;
  };
  let symbolic;
  for (let r = 0; r < Math.min(3, Number(repeats)); r++)
    symbolic = clock('analyse', () => analyse(matrix, { groups }));
  const solver = new LdlSolver(symbolic);
  let x;
  for (let r = 0; r < Number(repeats); r++) {
    clock('factor', () => solver.factor(matrix.values));
    x = clock('solve', () => solver.solve(b));
  }
  const product = multiply(matrix, x);
  let residual = 0;
  for (let i = 0; i < size; i++) residual = Math.max(residual, Math.abs(product[i] - b[i]));
  const report = {
    size,
    entries: matrix.values.length,
    factorEntries: symbolic.factorEntryCount,
    stored: symbolic.layout.blockOffsets[symbolic.layout.count],
    stack: symbolic.layout.stackSize,
    supernodes: symbolic.layout.count,
    coldAnalyse: times.analyse[0],
    coldFactor: times.factor[0],
    residual,
  };
  for (const name of Object.keys(times)) report[name] = Math.min(...times[name]);
  process.stdout.write(`${JSON.stringify(report)}\n`);
}
