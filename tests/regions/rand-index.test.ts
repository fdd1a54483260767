import { describe, expect, it } from 'vitest';
import { buildMesh } from '../../src/mesh/index.js';
import { findParts } from '../../src/regions/index.js';
import { rotateMesh, seededRandom } from '../../src/testing/index.js';
import { cutByPeople, DEEDS, HABITS } from './people.js';
import { randIndexError } from './rand-index.js';

describe('randIndexError', () => {
  it('counts the pairs that differ: three of six where four faces are cut in halves differently', () => {
    // Together in the first: 01, 23; in the second: 02, 03, 23 — of six pairs 01, 02, 03 differ.
    expect(randIndexError(['a', 'a', 'b', 'b'], ['x', 'y', 'x', 'x'])).toBe(3 / 6);
  });

  it('is 0 for the same cut under other names and 1 for all against nothing', () => {
    expect(randIndexError(['a', 'a', 'b'], ['q', 'q', 'r'])).toBe(0);
    expect(randIndexError(['a', 'a', 'a'], ['1', '2', '3'])).toBe(1);
  });
});

const isLong = process.env.SEAMWRIGHT_LONG === '1';

/** A build near the middle of people's, by seed. */
function build(seed: number) {
  const { between, next } = seededRandom(seed);
  return {
    faces: Math.round((isLong ? 3000 : 1500) * (isLong ? 6 : 2) ** next()),
    proportions: {
      headSize: between(0.9, 1.3),
      neckSize: between(0.9, 1.2),
      legLength: between(0.85, 1.15),
      armLength: between(0.9, 1.15),
      shoulderWidth: between(0.9, 1.15),
      hipWidth: between(0.9, 1.15),
      girth: between(0.85, 1.3),
      handSize: between(0.9, 1.3),
      footSize: between(0.9, 1.2),
    },
    hasFingers: next() < 0.8,
    hasToes: next() < 0.4,
    isTriangulated: true,
    seed,
  };
}

describe('findParts against the ways people cut a body', () => {
  // People disagree with each other by 13.5 % and the aim is 11.9 %: the spread of habits is what they disagree on.
  const names = Object.keys(DEEDS);
  const perDeed = isLong ? 4 : 1;
  it(`is off by less than 8 % of pairs in the mean over ${names.length * perDeed} bodies at all they do, and finds every limb`, () => {
    let sum = 0;
    names.forEach((name, n) => {
      for (let i = 0; i < perDeed; i++) {
        const { marionette, labels } = cutByPeople({ ...build(500 + 17 * i + n), pose: DEEDS[name]! });
        const { faceParts, parts } = findParts(buildMesh(marionette.mesh), { detail: 'joints' });
        const found = Array.from(faceParts, String);
        const errors = HABITS.map((habit) => randIndexError(found, labels[habit]));
        const mean = errors.reduce((a, b) => a + b) / errors.length;
        expect(mean, `${name} ${i}`).toBeLessThan(0.1);
        sum += mean;
        const count = (part: string) => parts.filter((other) => other.name === part).length;
        expect(['head', 'upper-arm', 'forearm', 'hand', 'thigh', 'shin', 'foot'].map(count), name).toEqual([
          1, 2, 2, 2, 2, 2, 2,
        ]);
      }
    });
    expect(sum / (names.length * perDeed)).toBeLessThan(0.08);
  });

  it('finds the limbs of bodies that lie askew to the axes given', () => {
    for (const [about, degrees, name] of [
      [[1, 0, 0], 90, 'walking'],
      [[0.6, 0, 0.8], 50, 'hand on hip'],
      [[0, 1, 0], 70, 'kicking'],
    ] as const) {
      const { marionette } = cutByPeople({ ...build(40), pose: DEEDS[name]! });
      const { parts } = findParts(buildMesh(rotateMesh(marionette.mesh, about, degrees)), {
        detail: 'joints',
      });
      const count = (part: string) => parts.filter((other) => other.name === part).length;
      expect(['head', 'upper-arm', 'hand', 'thigh', 'foot'].map(count), name).toEqual([1, 2, 2, 2, 2]);
    }
  });
});
