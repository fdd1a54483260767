import { describe, expect, it } from 'vitest';
import { computeCurvature } from '../../src/fields/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh, computeEdgeLengths, computeFaceGeometry } from '../../src/mesh/index.js';
import { findCreases, findHardShells } from '../../src/seams/index.js';
import {
  capsule,
  cube,
  icoSphere,
  jitterMesh,
  joinMeshes,
  prism,
  translateMesh,
} from '../../src/testing/index.js';

function study(input: MeshInput) {
  const mesh = buildMesh(input);
  const { edgeDihedrals, vertexDefects } = computeCurvature(mesh);
  const { faceAreas } = computeFaceGeometry(mesh);
  const fields = { edgeLengths: computeEdgeLengths(mesh), faceAreas, edgeDihedrals, vertexDefects };
  const isHard = findHardShells(mesh, fields);
  return { isHard: [...isHard], creases: findCreases(mesh, fields, isHard) };
}

describe('hard shells', () => {
  it('are boxes and prisms, with creases along all their edges', () => {
    expect(study(cube({ n: 3 }))).toMatchObject({ isHard: [1], creases: { length: 12 * 3 } });
    expect(study(prism(6))).toMatchObject({ isHard: [1], creases: { length: 18 } });
  });

  it.each([1, 2, 3, 7])('are no coarse lumps, sharp as their edges may be: seed %i', (seed) => {
    const lump = jitterMesh(capsule({ segments: 6, rows: 4, capRows: 2 }), 0.15, seed);
    expect(study(lump)).toMatchObject({ isHard: [0], creases: { length: 0 } });
  });

  it('are told shell by shell', () => {
    const lump = jitterMesh(icoSphere({ level: 1 }), 0.12, 1);
    expect(study(joinMeshes([lump, translateMesh(cube(), [5, 0, 0])])).isHard).toEqual([0, 1]);
  });
});
