import { expect, it } from 'vitest';
import { computeCurvature } from '../../src/fields/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh, computeEdgeLengths, computeFaceGeometry } from '../../src/mesh/index.js';
import { findCreases, findFoldCorners, findHardShells } from '../../src/seams/index.js';
import { cube, cylinder, joinMeshes, translateMesh } from '../../src/testing/index.js';

function foldCorners(input: MeshInput) {
  const mesh = buildMesh(input);
  const { edgeDihedrals, vertexDefects } = computeCurvature(mesh);
  const { faceAreas } = computeFaceGeometry(mesh);
  const fields = { edgeLengths: computeEdgeLengths(mesh), faceAreas, edgeDihedrals, vertexDefects };
  const creases = findCreases(mesh, fields, findHardShells(mesh, fields));
  return findFoldCorners(mesh, creases, faceAreas);
}

const small = translateMesh(cube({ n: 2, size: 1 }), [9, 0, 0]);

it('finds the eight corners of a small box beside something large, and none of a large one', () => {
  const corners = foldCorners(joinMeshes([cube({ n: 2, size: 8 }), small]));
  expect(corners.length).toBe(8);
  expect(foldCorners(cube({ n: 2 }))).toEqual([]);
  expect(foldCorners(joinMeshes([cube({ n: 2, size: 4 }), small]))).toEqual([]);
});

it('finds none of a small drum, whose rims have no corners', () => {
  const drum = translateMesh(cylinder({ radius: 0.5, height: 1, segments: 24 }), [9, 0, 0]);
  expect(foldCorners(joinMeshes([cube({ n: 2, size: 8 }), drum]))).toEqual([]);
});
