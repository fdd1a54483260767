import { describe, expect, it } from 'vitest';
import { findMirror } from '../../src/fields/index.js';
import { flattenChart, flattenCharts, flattenSets } from '../../src/flattening/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { makeMarionette } from '../../src/testing/index.js';

describe('several sets at once', () => {
  it('come out as each by itself, in whatever order charts are done, and what they share is done once', async () => {
    const mesh = buildMesh(makeMarionette({ faces: 700 }).mesh);
    const { sets } = await proposeSeams(mesh, { sets: 6 });
    const mirror = findMirror(mesh);
    const waiting: (() => void)[] = [];
    const shares: number[] = [];
    let done = 0;
    const flats = flattenSets(mesh, sets, {
      mirror,
      flatten: async (surface, options) => {
        // Whatever was asked for last is done first.
        await new Promise<void>((resolve) => waiting.push(resolve));
        done++;
        return flattenChart(surface, options);
      },
      onProgress: (share) => shares.push(share),
    });
    const finished = Promise.all(flats);
    const turn = () => new Promise((resolve) => setTimeout(resolve, 0));
    for (await turn(); waiting.length > 0; await turn()) waiting.pop()!();
    for (const [i, flat] of (await finished).entries())
      expect(flat).toEqual(flattenCharts(mesh, sets[i]!, { mirror }));
    expect(done).toBeLessThan(sets.reduce((sum, set) => sum + set.charts.length, 0) / 2);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
  });

  it('fail with the chart named', async () => {
    const mesh = buildMesh(makeMarionette({ faces: 700 }).mesh);
    const [flat] = flattenSets(mesh, [{ seams: [] }], {
      flatten: async (surface, options) => flattenChart(surface, options),
    });
    await expect(flat).rejects.toMatchObject({ code: 'CHART_NOT_DISK', details: { chart: 0 } });
  });
});
