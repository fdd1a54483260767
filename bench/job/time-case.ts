// One case of bench/run.mjs: prints stages with processor and wall seconds, and the peak memory, as JSON.
import { measureLayout } from '../../src/distortion/index.js';
import { computeCurvature, computeExposures, findMirror } from '../../src/fields/index.js';
import { flattenCharts } from '../../src/flattening/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { findParts } from '../../src/regions/index.js';
import { makeCase } from './make-case.js';

interface Timing {
  cpu: number;
  wall: number;
}

const [shape, size] = process.argv.slice(2) as [string, string];
const stages: Record<string, Timing> = {};

async function time<T>(stage: string, work: () => T | Promise<T>): Promise<T> {
  const start = performance.now();
  const used = process.cpuUsage();
  const result = await work();
  const { user, system } = process.cpuUsage(used);
  const timing = (stages[stage] ??= { cpu: 0, wall: 0 });
  timing.cpu += (user + system) / 1e6;
  timing.wall += (performance.now() - start) / 1e3;
  return result;
}

const input = makeCase(shape, Number(size));
const mesh = await time('build', () => buildMesh(input));
await time('fields', () => {
  computeExposures(mesh, ['all-round', 'front']);
  computeCurvature(mesh);
});
const mirror = await time('mirror', () => findMirror(mesh));
await time('regions', () => findParts(mesh, { mirror: mirror ?? null }));
// Everything from the mesh to ranked sets: fields, mirror and regions again, and the seams.
const proposal = await time('propose', () => proposeSeams(mesh));
const edge = proposal.sets[0]!.seams.find((seam) => seam.edges.length > 4)?.edges[2];
await time('again', () => proposeSeams(mesh, { hints: { avoid: edge ? [edge] : [] } }));
for (const set of proposal.sets) {
  const flat = await time('flatten', () => flattenCharts(mesh, set, { mirror: proposal.mirror && mirror }));
  const layout = await time('arrange', () => arrangeCharts(mesh, flat));
  await time('measure', () => measureLayout(mesh, layout.uvs));
}
const total = { cpu: 0, wall: 0 };
for (const name of ['build', 'propose', 'flatten', 'arrange', 'measure']) {
  total.cpu += stages[name]!.cpu;
  total.wall += stages[name]!.wall;
}
const peakMegabytes = Math.round(process.resourceUsage().maxRSS / 1024);
process.stdout.write(JSON.stringify({ faces: mesh.faceCount, peakMegabytes, stages: { ...stages, total } }));
