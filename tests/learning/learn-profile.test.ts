import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { computeCurvature, computeExposures } from '../../src/fields/index.js';
import { buildSpokes, FlowSearch } from '../../src/graph/index.js';
import { readObj } from '../../src/io/index.js';
import type { Profile, ProfileExample } from '../../src/learning/index.js';
import { learnProfile } from '../../src/learning/index.js';
import type { PathComparison } from '../../src/learning/rank-paths.js';
import { rankPaths } from '../../src/learning/rank-paths.js';
import { buildMesh, computeCornerAngles, cutMesh, seamMask, vertexPosition } from '../../src/mesh/index.js';
import { isUvSeam, proposeSeams } from '../../src/proposing/index.js';
import { COST_WEIGHTS, computeEdgeCosts } from '../../src/seams/index.js';
import { makeMarionette, seededRandom } from '../../src/testing/index.js';
import { maskSegments, seamDistance } from '../proposing/seam-distance.js';
import { AXES, FINISHED } from '../proposing/shared-axes.js';

/** The six orders of a strong, a middling and a weak weight for length, exposure and exposure to the front. */
const STYLES = [
  [1, 0.3, 0.05],
  [1, 0.05, 0.3],
  [0.3, 1, 0.05],
  [0.05, 1, 0.3],
  [0.3, 0.05, 1],
  [0.05, 0.3, 1],
] as const;

const rank = (values: readonly number[]) => [0, 1, 2].sort((a, b) => values[b]! - values[a]!);

describe('rankPaths', () => {
  it.each(STYLES)('gives the order of the weights %d, %d, %d back from paths that they rank', (...known) => {
    const random = seededRandom(3);
    const comparisons = Array.from({ length: 200 }, (): PathComparison => {
      const excess = known.map(() => random.between(-1, 1));
      const isDearer = excess.reduce((sum, x, k) => sum + x * known[k]!, 0) > 0;
      return { excess: isDearer ? excess : excess.map((x) => -x), difference: 1, importance: 1 };
    });
    const { weights } = rankPaths(comparisons, [0.4, 0.4, 0.4]);
    expect(rank(weights)).toEqual(rank(known));
    expect(weights[0]! + weights[1]! + weights[2]!).toBeCloseTo(1.2, 9);
  });

  it('keeps to the prior when nothing contradicts it', () => {
    expect(rankPaths([], [0.1, 0.5, 0.6]).weights).toEqual([0.1, 0.5, 0.6]);
  });
});

describe('learnProfile', () => {
  const mesh = buildMesh(makeMarionette({ faces: 800, hasFingers: false, hasToes: false }).mesh);
  const [all, ahead] = computeExposures(mesh, ['all-round', 'front']);
  const fields = {
    exposure: all!.edgeExposure,
    frontExposure: ahead!.edgeExposure,
    concavity: computeCurvature(mesh).edgeConcavity,
  };

  /** A marionette whose UVs are cut along the cheapest paths between points far apart. */
  function drawSeams(weights: Profile): ProfileExample {
    const search = new FlowSearch(
      buildSpokes(mesh, computeCornerAngles(mesh)),
      computeEdgeCosts(mesh, fields, weights),
      0,
    );
    const random = seededRandom(1);
    const isSeam = new Uint8Array(mesh.edgeCount);
    const isUsed = new Uint8Array(mesh.vertexCount);
    for (let i = 0; i < 100; i++) {
      const [from, to] = [random.integer(0, mesh.vertexCount - 1), random.integer(0, mesh.vertexCount - 1)];
      const path = search.find({ sources: [from], isTarget: (v) => v === to });
      if (!path || path.edges.length < 6 || path.vertices.some((v) => isUsed[v])) continue;
      for (const v of path.vertices) isUsed[v] = 1;
      for (const e of path.edges) isSeam[e] = 1;
    }
    const cornerUvs = new Float64Array(2 * mesh.cornerCount);
    cutMesh(mesh, isSeam).cornerCutVertices.forEach((vertex, corner) => {
      cornerUvs[2 * corner] = vertex;
    });
    return { mesh, cornerUvs };
  }

  it('learns more of a weight the more of it the seams were drawn with', () => {
    const learnt = STYLES.map(([length, exposure, frontExposure]) =>
      learnProfile([drawSeams({ length, exposure, frontExposure, concavity: COST_WEIGHTS.concavity })]),
    );
    (['length', 'exposure', 'frontExposure'] as const).forEach((name, k) => {
      const mean = (known: number) =>
        learnt.reduce((sum, profile, i) => sum + (STYLES[i]![k] === known ? profile[name] / 2 : 0), 0);
      expect(mean(1), name).toBeGreaterThan(mean(0.3));
      expect(mean(0.3), name).toBeGreaterThan(mean(0.05));
    });
  });

  it('gives a profile that survives JSON and that proposeSeams takes', async () => {
    const example = drawSeams({ length: 0.05, exposure: 0.1, frontExposure: 1, concavity: 0.35 });
    const profile = learnProfile([example]);
    expect(learnProfile([example])).toEqual(profile);
    const read = JSON.parse(JSON.stringify(profile)) as Profile;
    expect(read).toEqual(profile);
    for (const weight of Object.values(profile)) expect(weight).toBeGreaterThanOrEqual(0);
    expect((await proposeSeams(mesh, { profile: read })).sets.length).toBeGreaterThan(0);
  });

  it('keeps the default without examples, and where no seam is to be seen', () => {
    expect(learnProfile([])).toEqual(COST_WEIGHTS);
    expect(learnProfile([{ mesh, cornerUvs: new Float64Array(2 * mesh.cornerCount) }])).toEqual(COST_WEIGHTS);
  });

  it('refuses UVs of another mesh', () => {
    expect(() => learnProfile([{ mesh, cornerUvs: [0, 0] }])).toThrow(
      expect.objectContaining({ code: 'UV_INVALID' }),
    );
  });
});

const FOLDER = new URL('../../../shared/meshes/', import.meta.url);
const isRun = existsSync(FOLDER) && Boolean(process.env.SEAMWRIGHT_LONG);
if (!isRun)
  console.log('house style of artists: skipped, needs the folder of sample meshes and SEAMWRIGHT_LONG=1');

describe.skipIf(!isRun)('a house style learnt from other artists', () => {
  it('brings seams nearer to those of the artist left out than the default does', async () => {
    const examples = FINISHED.map((name): Required<Omit<ProfileExample, 'mirror'>> => {
      const document = readObj(readFileSync(new URL(`${name}/mesh.obj`, FOLDER)));
      return { mesh: buildMesh(document.mesh), cornerUvs: document.cornerUvs!, ...AXES[name]! };
    });
    const ratios: number[] = [];
    const sums = { usual: 0, learnt: 0 };
    for (const example of examples) {
      const { mesh, cornerUvs, up, front } = example;
      const heights = Array.from({ length: mesh.vertexCount }, (_, v) =>
        vertexPosition(mesh, v).reduce((sum, x, k) => sum + x * up[k]!, 0),
      );
      const height =
        heights.reduce((a, b) => Math.max(a, b), -Infinity) -
        heights.reduce((a, b) => Math.min(a, b), Infinity);
      const truth = maskSegments(
        mesh,
        Uint8Array.from({ length: mesh.edgeCount }, (_, e) => Number(isUvSeam(mesh, cornerUvs, e))),
      );
      // What comes apart where is not a matter of weights, so the set nearest to the artist's counts.
      const nearest = async (profile: Partial<Profile>) => {
        const { sets } = await proposeSeams(mesh, { up, front, profile, sets: 8 });
        const distances = sets.map(({ seams }) =>
          seamDistance(truth, maskSegments(mesh, seamMask(mesh, seams))),
        );
        return Math.min(...distances) / height;
      };
      const usual = await nearest({});
      const learnt = await nearest(learnProfile(examples.filter((other) => other !== example)));
      console.log(`left out: ${(100 * usual).toFixed(2)} % -> ${(100 * learnt).toFixed(2)} % of the height`);
      ratios.push(learnt / usual);
      sums.usual += usual;
      sums.learnt += learnt;
    }
    const ratio = Math.exp(ratios.reduce((sum, r) => sum + Math.log(r), 0) / ratios.length);
    console.log(`mean ratio ${ratio.toFixed(3)}`);
    expect(sums.learnt).toBeLessThan(sums.usual);
    expect(ratio).toBeLessThan(0.95);
    for (const r of ratios) expect(r).toBeLessThan(1.05);
  }, 900_000);
});
