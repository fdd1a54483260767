import { describe, expect, it } from 'vitest';
import { buildMesh, proposeSeams } from '../../src/index.js';
import type { DrawnSet } from '../../src/proposing/drop-sets.js';
import { rankSets } from '../../src/proposing/rank-sets.js';
import { STRATEGIES } from '../../src/proposing/strategies.js';
import { makeMarionette } from '../../src/testing/index.js';

/** A set without seams, of which only the figures count. */
function drawnSet(
  name: string,
  [pieces, stretch, exposure, fill]: readonly [number, number, number, number],
  isDisk = true,
): DrawnSet {
  const prediction = { energy: 4 + stretch, energyLow: 4, energyHigh: 5 + stretch };
  const criteria = { pieces, stretch, exposure, fill, frontExposure: 1, seamLength: 2, symmetry: 1 };
  const charts = Array.from({ length: pieces }, () => ({ topology: { isDisk } })) as never;
  return { name, set: { seams: [], charts, prediction, criteria } };
}

describe('candidates that are not offered', () => {
  const drawn = [
    drawnSet('broken', [1, 0.1, 1, 0.9], false),
    drawnSet('few', [2, 0.5, 1, 0.8]),
    drawnSet('worse', [3, 0.6, 1.2, 0.7]),
    drawnSet('many', [30, 0.01, 3, 0.8]),
    drawnSet('alike', [2, 0.5, 1, 0.8]),
    drawnSet('middle', [6, 0.1, 1.5, 0.8]),
    drawnSet('loose', [5, 0.1, 1.5, 0.3]),
  ];

  it('are told with the cause, the set that beats them, and their figures', () => {
    const { sets, dropped } = rankSets(drawn, { sets: 2, chartLimit: 20 });
    const named = Object.fromEntries(dropped.map((each) => [each.name, each]));
    expect(sets.map(({ name }) => name).sort()).toEqual(['few', 'middle']);
    expect(dropped.map(({ name, cause }) => [name, cause])).toEqual([
      ['broken', 'notDisks'],
      ['worse', 'beaten'],
      ['many', 'chartLimit'],
      ['alike', 'beaten'],
      ['loose', 'packing'],
    ]);
    expect(sets[named.worse!.beatenBy!]!.name).toBe('few');
    expect(named.worse!.reason).toBe(
      'few is better in pieces, stretch, seam in view, sheet filled and worse in nothing',
    );
    expect(named.alike!.reason).toContain('few');
    expect(named.alike!.beatenBy).toBeUndefined();
    expect(named.many!.reason).toBe('it has 30 charts, and 20 are allowed');
    expect(named.loose!.reason).toContain('30 %');
    expect(named.worse!.criteria).toBe(drawn[2]!.set.criteria);
  });

  it('are those that no one picked where more are good than wanted', () => {
    const { sets, dropped } = rankSets(drawn, { sets: 1, chartLimit: 20 });
    expect(sets).toHaveLength(1);
    expect(dropped.filter(({ cause }) => cause === 'spread')).toHaveLength(1);
  });

  it('make up, with the offered ones, every way that was drawn', async () => {
    const mesh = buildMesh(makeMarionette({ faces: 1000 }).mesh);
    const proposal = await proposeSeams(mesh);
    expect(proposal.sets.length + proposal.dropped.length).toBe(STRATEGIES.length);
    for (const { cause, beatenBy, criteria } of proposal.dropped) {
      if (beatenBy === undefined) continue;
      const better = proposal.sets[beatenBy]!.criteria;
      expect(cause).not.toBe('spread');
      const pairs = [
        [better.pieces, criteria.pieces],
        [better.stretch, criteria.stretch],
        [better.exposure, criteria.exposure],
        [-better.fill, -criteria.fill],
      ] as const;
      for (const [a, b] of pairs) expect(a).toBeLessThanOrEqual(b);
      expect(pairs.some(([a, b]) => a < b)).toBe(true);
    }
    expect((await proposeSeams(mesh)).dropped).toEqual(proposal.dropped);
  });
});
