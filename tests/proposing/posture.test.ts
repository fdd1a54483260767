import { describe, expect, it } from 'vitest';
import { findMirror } from '../../src/fields/index.js';
import { buildMesh, computeFaceGeometry, EdgeFinder, edgeFaces } from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { findPosture } from '../../src/proposing/posture.js';
import type { Part } from '../../src/regions/index.js';
import { findParts } from '../../src/regions/index.js';
import { cellSkin, makeMarionette, smoothQuads } from '../../src/testing/index.js';

/** A puppet horse, head towards +z. */
function puppetHorse() {
  const within = (x: number, low: number, high: number) => x >= low && x < high;
  const cells = cellSkin([4, 13, 17], (i, j, k) => {
    const isTrunk = within(j, 5, 8) && within(k, 1, 12);
    const isLeg = j < 5 && (i < 1 || i > 2) && (within(k, 1, 3) || within(k, 9, 11));
    const isNeck = within(i, 1, 3) && within(j, 7, 12) && within(k, 9, 12);
    const isHead = within(i, 1, 3) && within(j, 10, 12) && within(k, 9, 16);
    return isTrunk || isLeg || isNeck || isHead;
  });
  return buildMesh(
    smoothQuads({ ...cells, points: cells.points.map((x, i) => (i % 3 === 0 ? x - 2 : x)) }, 1),
  );
}

const postureOf = (mesh: ReturnType<typeof buildMesh>) => {
  const mirror = findMirror(mesh, { axis: [1, 0, 0] });
  return findPosture(computeFaceGeometry(mesh), findParts(mesh, { ...(mirror && { mirror }) }));
};

describe('a body on all fours', () => {
  const horse = puppetHorse();
  const { faceNormals, faceCentroids } = computeFaceGeometry(horse);
  const finder = new EdgeFinder(horse);

  it('is told by its legs, and its heading by its head', () => {
    expect(postureOf(horse)).toMatchObject({ isProne: true, heading: 1 });
    const turned = { ...horse, points: horse.points.map((x, i) => (i % 3 === 1 ? x : -x)) };
    expect(postureOf(turned)).toMatchObject({ isProne: true, heading: -1 });
  });

  it('keeps its back whole, and what lies on top of its head', () => {
    const { isShown } = postureOf(horse);
    for (let f = 0; f < horse.faceCount; f++) {
      const [y, z] = [faceCentroids[3 * f + 1]!, faceCentroids[3 * f + 2]!];
      if (faceNormals[3 * f + 1]! > 0.7 && (y > 11 || (y > 7 && z > 3 && z < 9))) expect(isShown[f]).toBe(1);
      if (faceNormals[3 * f + 1]! < -0.7 && y < 6) expect(isShown[f]).toBe(0);
    }
  });

  // Common practice, no source.
  it.each([1, -1] as const)(
    'opens below, whichever way the caller says it looks: front %i',
    async (front) => {
      const { sets, conflicts } = await proposeSeams(horse, { up: [0, 1, 0], front: [0, 0, front], sets: 8 });
      expect(conflicts.map(({ hint }) => hint)).toEqual(front < 0 ? ['front'] : []);
      expect(sets.map(({ name }) => name)).toContain('limbs apart, belly opened');
      for (const set of sets) {
        const onTop = set.seams
          .filter((seam) => seam.role === 'opening')
          .flatMap((seam) => seam.edges)
          .filter(([a, b]) =>
            edgeFaces(horse, finder.find(a, b)[0]!).every((f) => faceNormals[3 * f + 1]! > 0.5),
          );
        expect(onTop, set.name).toEqual([]);
      }
    },
  );
});

describe('a trunk by itself', () => {
  const postureOfBox = (height: number, length: number) => {
    const box = buildMesh(cellSkin([2, height, length], () => true));
    const torso = { name: 'torso', shell: 0 } as Part;
    return findPosture(computeFaceGeometry(box), {
      faceParts: new Int32Array(box.faceCount),
      parts: [torso],
    });
  };

  it('is prone where it is longer than high, as of a bird or a fish', () => {
    expect(postureOfBox(2, 6)).toMatchObject({ isProne: true, heading: 1 });
    expect(postureOfBox(6, 2).isProne).toBe(false);
    expect(postureOfBox(4, 5).isProne).toBe(false);
  });
});

it('takes a marionette to stand upright', () => {
  const mesh = buildMesh(makeMarionette({ faces: 1500 }).mesh);
  const { isProne, heading, isShown } = postureOf(mesh);
  expect([isProne, heading]).toEqual([false, 1]);
  const { faceNormals } = computeFaceGeometry(mesh);
  expect(isShown.every((shown, f) => !shown || faceNormals[3 * f + 2]! > 0.1)).toBe(true);
});
