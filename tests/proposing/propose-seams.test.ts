import { describe, expect, it } from 'vitest';
import { predictDistortion } from '../../src/distortion/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh, edgeVertices } from '../../src/mesh/index.js';
import type { Proposal, ProposeOptions } from '../../src/proposing/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import {
  cube,
  expectCovering,
  expectDiskCharts,
  expectMirrored,
  makeMarionette,
  shuffleMesh,
  triangulateMesh,
} from '../../src/testing/index.js';

const propose = async (input: MeshInput, options: ProposeOptions = {}) => {
  const mesh = buildMesh(input);
  return { mesh, proposal: await proposeSeams(mesh, options) };
};

describe('every proposal', () => {
  it('has reasons whose numbers are its own', async () => {
    const { mesh, proposal } = await propose(makeMarionette({ faces: 900 }).mesh);
    for (const set of proposal.sets) {
      for (const seam of set.seams) {
        let length = 0;
        for (const [a, b] of seam.edges) {
          const at = (p: number, k: number) => mesh.points[3 * p + k]!;
          length += Math.hypot(at(a, 0) - at(b, 0), at(a, 1) - at(b, 1), at(a, 2) - at(b, 2));
        }
        expect(seam.length).toBeCloseTo(length, 5);
        const [, said, percent] = /, ([\d.e+-]+) long, .*: (\d+) % exposed/.exec(seam.reason)!;
        expect(Number(said)).toBeCloseTo(length, 2);
        expect(Number(percent)).toBe(Math.round(100 * seam.exposure));
        const saved = /saves ([\d.e+-]+) of energy/.exec(seam.reason)?.[1];
        expect(saved === undefined).toBe(seam.saving === undefined);
        if (saved) expect(Number(saved) / seam.saving!).toBeCloseTo(1, 2);
      }
    }
  });

  it('says of every dead end what leaving it out would cost, near to the prediction for the whole', async () => {
    const { mesh, proposal } = await propose(makeMarionette({ faces: 1500 }).mesh);
    const ratios: number[] = [];
    for (const set of proposal.sets) {
      const all = predictDistortion(mesh, set.seams).energy;
      for (const seam of set.seams) {
        if (seam.saving === undefined) continue;
        const without = predictDistortion(
          mesh,
          set.seams.filter((other) => other !== seam),
        );
        const cost = without.energy - all;
        // What is told from the surroundings can miss what they pass on, so it says too little rather than too much.
        expect(seam.saving, seam.reason).toBeLessThan(1.25 * cost + 0.001);
        ratios.push(seam.saving / cost);
      }
    }
    expect(ratios.length).toBeGreaterThan(8);
    ratios.sort((a, b) => a - b);
    expect(ratios[Math.floor(0.25 * ratios.length)]).toBeGreaterThan(0.8);
  });

  it('leaves no dead end that saves less than is seen of it', async () => {
    const { proposal } = await propose(makeMarionette({ faces: 1500 }).mesh);
    const root = Math.sqrt(proposal.sets[0]!.charts.reduce((sum, chart) => sum + chart.area, 0));
    for (const set of proposal.sets)
      for (const { saving, length, exposure, reason } of set.seams)
        if (saving !== undefined)
          expect(saving / ((length * exposure) / root), `${set.name}: ${reason}`).toBeGreaterThan(0.05);
  });
});

describe('a marionette', () => {
  it('gets mirrored seams, in several variants', async () => {
    for (const options of [
      {},
      { pose: 't' as const },
      { hasFingers: false },
      { hasTunic: true },
      { hasTail: true },
    ]) {
      const puppet = makeMarionette({ faces: 1000, ...options });
      const { mesh, proposal } = await propose(puppet.mesh);
      for (const set of proposal.sets) {
        expectDiskCharts(mesh, set);
        expectCovering(mesh, set);
        expectMirrored(mesh, set, { pointPartners: puppet.pointPartners, least: 0.98 });
      }
    }
  });

  it.each([1, 2, 3])('gets the same mirrored pieces when its triangles do not mirror (%i)', async (seed) => {
    const quads = makeMarionette({ faces: 1000 });
    const { mesh: shuffled, pointSources } = shuffleMesh(quads.mesh, seed);
    const places = new Int32Array(pointSources.length);
    for (let p = 0; p < places.length; p++) places[pointSources[p]!] = p;
    const pointPartners = pointSources.map((source) => places[quads.pointPartners[source]!]!);
    const { mesh, proposal } = await propose(triangulateMesh(shuffled).mesh, { sets: 8 });
    const plain = await propose(quads.mesh, { sets: 8 });
    // Opened down the sides, a collar of the neck comes off or not by a hair.
    const countPieces = ({ sets, dropped }: Proposal) =>
      [...sets, ...dropped]
        .filter(({ name }) => !name.includes('sides'))
        .map(({ name, criteria }) => `${name}: ${criteria.pieces}`)
        .sort();
    expect(countPieces(proposal)).toEqual(countPieces(plain.proposal));
    for (const set of proposal.sets) {
      expectDiskCharts(mesh, set);
      expectMirrored(mesh, set, { pointPartners, least: 0.98 });
    }
  });

  it('has its head opened at the back, from the crown, though its sides are not mirrored', async () => {
    const puppet = makeMarionette({ faces: 2000 });
    const { mesh, proposal } = await propose(puppet.mesh, { symmetry: 'off' });
    const head = puppet.parts.findIndex((part) => part.name === 'head');
    const onHead = new Set<number>();
    for (let c = 0; c < mesh.cornerCount; c++)
      if (puppet.faceParts[mesh.cornerFaces[c]!] === head) onHead.add(mesh.cornerPoints[c]!);
    const at = (p: number, axis: number) => mesh.points[3 * p + axis]!;
    const range = (axis: number) => {
      const values = [...onHead].map((p) => at(p, axis));
      return [Math.min(...values), Math.max(...values)] as const;
    };
    const [back, front] = range(2);
    const [low, high] = range(1);
    for (const { name, seams } of proposal.sets) {
      const opening = seams
        .filter(({ role, part }) => role === 'opening' && part === 'head')
        .flatMap(({ vertices }) => vertices.filter((p) => onHead.has(p)));
      expect(Math.max(...opening.map((p) => at(p, 1))), name).toBeGreaterThan(high - 0.05 * (high - low));
      expect(Math.max(...opening.map((p) => at(p, 2))), name).toBeLessThan(back + 0.7 * (front - back));
      expect(Math.min(...opening.map((p) => at(p, 2))), name).toBeLessThan(back + 0.02 * (front - back));
    }
  });

  it('with mittens comes in six pieces when the limbs are apart: head, torso, two arms, two legs', async () => {
    // Common practice, no source: a simple humanoid takes about six pieces.
    const { proposal } = await propose(
      makeMarionette({ faces: 1500, hasFingers: false, hasToes: false }).mesh,
      { sets: 8 },
    );
    const set = proposal.sets.find(({ name }) => name.startsWith('limbs apart'))!;
    expect(set.charts.map((chart) => chart.part).sort()).toEqual([
      'arm',
      'arm',
      'head',
      'leg',
      'leg',
      'torso',
    ]);
  });

  it('has no seam on the front of its face', async () => {
    // Common practice, no source: never between the eyes, down the nose or across the face.
    const puppet = makeMarionette({ faces: 1500 });
    const { mesh, proposal } = await propose(puppet.mesh, { sets: 8 });
    const head = puppet.parts.findIndex((part) => part.name === 'head');
    let back = Infinity;
    let front = -Infinity;
    const depth = (v: number) => mesh.points[3 * mesh.vertexPoints[v]! + 2]!;
    for (let e = 0; e < mesh.edgeCount; e++) {
      const h = mesh.edgeHalfEdges[e]!;
      if (puppet.faceParts[mesh.cornerFaces[h]!] !== head) continue;
      for (const v of edgeVertices(mesh, e)) {
        back = Math.min(back, depth(v));
        front = Math.max(front, depth(v));
      }
    }
    const headPoints = new Set<number>();
    for (let c = 0; c < mesh.cornerCount; c++) {
      if (puppet.faceParts[mesh.cornerFaces[c]!] === head) headPoints.add(mesh.cornerPoints[c]!);
    }
    for (const set of proposal.sets) {
      for (const seam of set.seams) {
        if (seam.role === 'collar') continue;
        for (const p of seam.vertices) {
          if (headPoints.has(p))
            expect(mesh.points[3 * p + 2]!).toBeLessThan(back + (2 / 3) * (front - back));
        }
      }
    }
  });
});

describe('options', () => {
  it.each([
    [{ up: [0, 0, 0] }, 'OPTION_INVALID'],
    [{ front: [0, 2, 0] }, 'OPTION_INVALID'],
    [{ sets: 0 }, 'OPTION_INVALID'],
    [{ stretchLimit: 3 }, 'OPTION_INVALID'],
    [{ chartLimit: 0 }, 'OPTION_INVALID'],
    [{ hints: { paint: [1] } }, 'HINT_INVALID'],
    [{ hints: { keep: [[0, 999]] } }, 'HINT_INVALID'],
    [{ hints: { avoidFaces: [-1] } }, 'HINT_INVALID'],
    [{ hints: { existingUvs: [0] } }, 'HINT_INVALID'],
    [{ hints: { waypoints: [[0, 0]] } }, 'HINT_INVALID'],
    [{ hints: { hardEdgeAngle: Number.NaN } }, 'HINT_INVALID'],
    [{ hints: { hardEdgeAngle: 181 } }, 'HINT_INVALID'],
    [{ hints: { pins: [[0, 99]] } }, 'HINT_INVALID'],
  ])('%j is refused', async (options, code) => {
    await expect(propose(cube({ n: 2 }), options as never)).rejects.toMatchObject({ code });
  });

  it('are doubted where the model is symmetric from front to back instead of from left to right', async () => {
    const mesh = buildMesh(makeMarionette({ faces: 700 }).mesh);
    const turned = await proposeSeams(mesh, { front: [1, 0, 0] });
    expect(turned.conflicts.map(({ hint }) => hint)).toContain('front');
    for (const options of [{}, { front: [1, 0, 0], symmetry: 'off' }] as const)
      expect((await proposeSeams(mesh, options)).conflicts.map(({ hint }) => hint)).not.toContain('front');
  });

  it('say when no set is within the chart limit', async () => {
    const two = buildMesh(makeMarionette({ faces: 900, buttons: 3 }).mesh);
    await expect(proposeSeams(two, { chartLimit: 1 })).rejects.toMatchObject({ code: 'NO_VALID_SET' });
  });

  it('stop the work through the signal and report progress', async () => {
    const stop = new AbortController();
    const stages: string[] = [];
    const running = propose(makeMarionette({ faces: 900 }).mesh, {
      signal: stop.signal,
      onProgress: (_, stage) => {
        stages.push(stage);
        stop.abort();
      },
    });
    await expect(running).rejects.toMatchObject({ code: 'CANCELLED' });
    expect(stages).toHaveLength(1);
  });
});
