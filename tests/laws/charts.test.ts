import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { measureLayout } from '../../src/distortion/index.js';
import { flattenCharts } from '../../src/flattening/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import { expectCovering, expectDiskCharts, expectMirrored, hintSets } from '../../src/testing/index.js';
import { evenCharacters, lawRuns, meshes, propose } from './cases.js';

describe('laws of charts', () => {
  it('Covering: every face lies in exactly one chart, and the seams are what parts the charts', async () => {
    await fc.assert(
      fc.asyncProperty(meshes.any, async (value) => {
        const { mesh, proposal } = await propose(value.mesh, { sets: 8 });
        expect(proposal.sets.length).toBeGreaterThan(0);
        for (const set of proposal.sets) expectCovering(mesh, set);
      }),
      { numRuns: lawRuns(10) },
    );
  });

  it('Disks: every chart has one border and no handle, whatever the mesh and the hints', async () => {
    const cases = meshes.any.chain((value) => hintSets(fc, value.mesh).map((hints) => ({ value, hints })));
    await fc.assert(
      fc.asyncProperty(cases, async ({ value, hints }) => {
        const { mesh, proposal } = await propose(value.mesh, { sets: 8, hints });
        for (const set of proposal.sets) expectDiskCharts(mesh, set);
      }),
      { numRuns: lawRuns(10) },
    );
  });

  it('Injectivity: no face of a sheet is turned over, and no two lie on one another', async () => {
    await fc.assert(
      fc.asyncProperty(meshes.any, async (value) => {
        const { mesh, proposal } = await propose(value.mesh, { sets: 1 });
        const layout = arrangeCharts(mesh, flattenCharts(mesh, proposal.sets[0]!), { effort: 0 });
        const report = measureLayout(mesh, layout.uvs, { resolution: layout.resolution });
        expect(report.flippedFaces).toEqual([]);
        expect(report.overlaps.pairs).toEqual([]);
        expect(report.mirroredCharts).toEqual([]);
        expect(report.outsideFaces).toEqual([]);
      }),
      { numRuns: lawRuns(8) },
    );
  });

  it('Mirror: what is the same on both sides is cut the same on both sides, in every pose', async () => {
    await fc.assert(
      fc.asyncProperty(evenCharacters(), async ({ mesh: input, pointPartners }) => {
        const { mesh, proposal } = await propose(input);
        for (const set of proposal.sets) expectMirrored(mesh, set, { pointPartners });
      }),
      { numRuns: lawRuns(4) },
    );
  });
});
