import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { flattenCharts } from '../../src/flattening/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import type { Proposal } from '../../src/proposing/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { makeMarionette } from '../../src/testing/index.js';
import { characters, lawRuns, marionettes, meshes, propose } from './cases.js';

describe('laws of promises', () => {
  it('Limits: a looser stretch limit never adds pieces', async () => {
    const inputs = fc.oneof(
      { weight: 3, arbitrary: meshes.manifold.map(({ mesh }) => mesh) },
      { weight: 1, arbitrary: characters() },
    );
    const limits = fc.tuple(fc.integer({ min: 402, max: 600 }), fc.integer({ min: 1, max: 300 }));
    await fc.assert(
      fc.asyncProperty(inputs, limits, async (input, [percent, more]) => {
        const mesh = buildMesh(input);
        const tight = await proposeSeams(mesh, { sets: 8, stretchLimit: percent / 100 });
        const loose = await proposeSeams(mesh, { sets: 8, stretchLimit: (percent + more) / 100 });
        const fewest = ({ sets }: Proposal) => Math.min(...sets.map(({ charts }) => charts.length));
        expect(fewest(loose)).toBeLessThanOrEqual(fewest(tight));
        for (const set of loose.sets) {
          const same = tight.sets.find(({ name }) => name === set.name);
          if (same) expect([set.name, set.charts.length <= same.charts.length]).toEqual([set.name, true]);
        }
      }),
      { numRuns: lawRuns(4) },
    );
  });

  it('Bars: nine of ten charts are measured within the bars of their prediction', async () => {
    let within = 0;
    let total = 0;
    await fc.assert(
      fc.asyncProperty(marionettes(true), async (options) => {
        const { mesh, proposal } = await propose(makeMarionette(options).mesh, { sets: 1 });
        const set = proposal.sets[0]!;
        const flat = flattenCharts(mesh, set);
        set.charts.forEach(({ prediction: { energy, energyLow, energyHigh } }, i) => {
          expect(energyLow).toBeGreaterThanOrEqual(4 - 1e-9);
          expect(energyLow).toBeLessThanOrEqual(energy);
          expect(energy).toBeLessThanOrEqual(energyHigh);
          const measured = flat.charts[i]!.energy;
          total++;
          if (measured >= energyLow - 1e-9 && measured <= energyHigh + 1e-9) within++;
        });
      }),
      { numRuns: lawRuns(12) },
    );
    expect(within / total).toBeGreaterThanOrEqual(0.9);
  });
});
