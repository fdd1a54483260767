import { measureLayout } from '../../src/distortion/index.js';
import { computeExposure, findMirror } from '../../src/fields/index.js';
import { flattenCharts } from '../../src/flattening/index.js';
import { readMesh } from '../../src/io/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { PROPOSE_DEFAULTS, proposeSeams } from '../../src/proposing/index.js';
import { findParts } from '../../src/regions/index.js';
import { buildReview, packReview } from '../../src/report/index.js';
import { makeMarionette } from '../../src/testing/marionette/index.js';
import type { TryAnswer, TryRequest } from './messages.js';

const tell = (answer: TryAnswer) => postMessage(answer);

addEventListener('message', async (event: MessageEvent<TryRequest>) => {
  try {
    const { name, bytes } = event.data;
    const input: MeshInput = bytes ? (await readMesh(bytes)).mesh : makeMarionette({ faces: 2500 }).mesh;
    await propose(name, input);
  } catch (error) {
    tell({ kind: 'failed', message: error instanceof Error ? error.message : String(error) });
  }
});

async function propose(name: string, input: MeshInput): Promise<void> {
  const mesh = buildMesh(input);
  const proposal = await proposeSeams(mesh, {
    onProgress: (share, stage) => tell({ kind: 'progress', share: 0.6 * share, stage }),
  });
  const mirror = proposal.mirror && findMirror(mesh, {});
  const sets = proposal.sets.map((set, i) => {
    const share = 0.6 + (0.4 * i) / proposal.sets.length;
    tell({ kind: 'progress', share, stage: `set ${i + 1}: laying flat and packing` });
    const layout = arrangeCharts(mesh, flattenCharts(mesh, set, { mirror }));
    return { ...set, layout, measured: measureLayout(mesh, layout.uvs, { resolution: layout.resolution }) };
  });
  const { up, front } = PROPOSE_DEFAULTS;
  const { parts, faceParts } = findParts(mesh);
  const { faceExposure } = computeExposure(mesh);
  const review = packReview(
    buildReview(mesh, { name, up, front, parts, faceParts, faceExposure, sets, dropped: proposal.dropped }),
  );
  const notes = [
    ...mesh.repairs.map(({ message }) => message),
    ...proposal.conflicts.map(({ hint, message }) => `${hint}: ${message}`),
  ];
  tell({ kind: 'done', review, notes });
}
