import type { MeshInput } from '../../src/mesh/index.js';
import {
  bracket,
  capsule,
  jitterMesh,
  joinMeshes,
  makeMarionette,
  subdivideMesh,
  translateMesh,
  triangulateMesh,
} from '../../src/testing/index.js';

/** A mesh of about so many faces; the same every time. */
export function makeCase(shape: string, faces: number): MeshInput {
  if (shape === 'puppet') return makeMarionette({ faces }).mesh;
  if (shape === 'scan') return makeScan(faces);
  if (shape === 'shells') return makeShells(faces);
  if (shape === 'hard') return subdivideTo(bracket(), faces);
  throw new Error(`no shape ${shape}, expected puppet, scan, shells or hard`);
}

/** Triangles of a puppet, every point off its place by a tenth of an edge. */
function makeScan(faces: number): MeshInput {
  const { mesh } = triangulateMesh(makeMarionette({ faces: faces / 2, buttons: 0, hasEyes: false }).mesh);
  const height = Math.max(...listHeights(mesh)) - Math.min(...listHeights(mesh));
  return jitterMesh(mesh, (0.1 * height) / Math.sqrt(faces), 7);
}

function listHeights(mesh: MeshInput): number[] {
  return Array.from(
    { length: 500 },
    (_, i) => mesh.points[3 * Math.floor((i * mesh.points.length) / 1500) + 1]!,
  );
}

/** Beads in rows, each a shell of its own. */
function makeShells(faces: number): MeshInput {
  const bead = capsule({ segments: 12, rows: 2, capRows: 3 });
  const count = Math.max(1, Math.round(faces / bead.faceVertexCounts.length));
  const side = Math.ceil(Math.sqrt(count));
  return joinMeshes(
    Array.from({ length: count }, (_, i) =>
      translateMesh(bead, [2 * (i % side), 0, 2 * Math.floor(i / side)]),
    ),
  );
}

function subdivideTo(start: MeshInput, faces: number): MeshInput {
  let mesh = start;
  while (mesh.faceVertexCounts.length * 2.5 < faces) mesh = subdivideMesh(mesh).mesh;
  return mesh;
}
