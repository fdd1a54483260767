import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/index.js';
import {
  arrangeCharts,
  buildMesh,
  computeCurvature,
  computeExposure,
  findMirror,
  findParts,
  flattenCharts,
  measureLayout,
  predictDistortion,
  proposeSeams,
} from '../../src/index.js';
import { cubeSphere } from '../../src/testing/index.js';

describe('what takes a mesh', () => {
  it.each([
    ['proposeSeams', (mesh: Mesh) => proposeSeams(mesh)],
    ['findParts', (mesh: Mesh) => findParts(mesh)],
    ['findMirror', (mesh: Mesh) => findMirror(mesh)],
    ['computeExposure', (mesh: Mesh) => computeExposure(mesh)],
    ['computeCurvature', (mesh: Mesh) => computeCurvature(mesh)],
    ['flattenCharts', (mesh: Mesh) => flattenCharts(mesh, { seams: [] })],
    ['arrangeCharts', (mesh: Mesh) => arrangeCharts(mesh, { charts: [] })],
    ['predictDistortion', (mesh: Mesh) => predictDistortion(mesh, [])],
    ['measureLayout', (mesh: Mesh) => measureLayout(mesh, [])],
  ])('%s says that a file’s arrays are no mesh yet', async (name, call) => {
    for (const given of [cubeSphere(), undefined, null]) {
      const run = async () => call(given as unknown as Mesh);
      await expect(run()).rejects.toMatchObject({
        code: 'OPTION_INVALID',
        message: expect.stringContaining(`${name}: the first argument is no built mesh`),
      });
    }
    expect(buildMesh(cubeSphere()).faceCount).toBeGreaterThan(0);
  });
});
