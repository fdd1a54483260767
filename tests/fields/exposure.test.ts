import { describe, expect, test } from 'vitest';
import type { Viewpoint } from '../../src/fields/index.js';
import {
  buildAxisFrame,
  computeExposure,
  computeExposures,
  findMirror,
  sphereDirections,
} from '../../src/fields/index.js';
import type { Vec3 } from '../../src/math/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import { computeFaceGeometry, edgeVertices } from '../../src/mesh/index.js';
import { castEdges } from './ray-oracle.js';
import {
  cells,
  creature,
  joined,
  meshOf,
  moved,
  patch,
  rotation,
  shuffle,
  sphere,
  triangulated,
  tube,
} from './shapes.js';

const mean = (values: ArrayLike<number>) => Array.from(values).reduce((a, b) => a + b, 0) / values.length;

const withOpposites = (half: readonly Vec3[]) => half.flatMap((d): Vec3[] => [d, [-d[0], -d[1], -d[2]]]);

/** Face whose centroid is nearest to a place. */
function faceAt(mesh: Mesh, place: Vec3): number {
  const { faceCentroids } = computeFaceGeometry(mesh);
  let best = 0;
  let bestDistance = Infinity;
  for (let f = 0; f < mesh.faceCount; f++) {
    const distance = Math.hypot(...place.map((x, k) => x - faceCentroids[3 * f + k]!));
    if (distance < bestDistance) {
      best = f;
      bestDistance = distance;
    }
  }
  return best;
}

describe('sphereDirections', () => {
  test('are unit, evenly spread, and with their opposites their own mirror image', () => {
    for (const count of [16, 100, 1000]) {
      const all = withOpposites(sphereDirections(count, buildAxisFrame()));
      expect(all).toHaveLength(count);
      for (const d of all) {
        expect(Math.hypot(...d)).toBeCloseTo(1, 12);
        expect(all.some((e) => Math.hypot(e[0] + d[0], e[1] - d[1], e[2] - d[2]) < 1e-12)).toBe(true);
      }
      // The mean of each squared coordinate over the sphere is a third.
      for (const k of [0, 1, 2] as const)
        expect(Math.abs(mean(all.map((d) => d[k] ** 2)) - 1 / 3)).toBeLessThan(1 / count);
      // Hardly any place of the sphere is farther from a direction than the directions' mean distance.
      const spacing = Math.sqrt((4 * Math.PI) / count);
      const probes = withOpposites(
        sphereDirections(400, buildAxisFrame({ up: [1, 2, 3], front: [2, 1, 0] })),
      );
      const gaps = probes.map((p) =>
        Math.min(...all.map((d) => Math.hypot(p[0] - d[0], p[1] - d[1], p[2] - d[2]))),
      );
      expect(Math.max(...gaps)).toBeLessThan(1.3 * spacing);
    }
  });
});

describe('computeExposure on shapes with known answers', () => {
  test('a convex body is seen everywhere, from all round', () => {
    const { faceExposure, edgeExposure, vertexExposure } = computeExposure(meshOf(sphere(12)));
    // A face needs a cosine of 0.02, so it is seen from 0.98 of its hemisphere.
    expect(mean(faceExposure)).toBeCloseTo(0.98, 1);
    expect(Math.min(...edgeExposure)).toBeGreaterThan(0.93);
    expect(Math.min(...vertexExposure)).toBeGreaterThan(0.95);
  });

  test('from the front a sphere shows the cosine-weighted share of its front half', () => {
    const mesh = meshOf(sphere(12));
    const { faceExposure } = computeExposure(mesh, {
      viewpoints: 'front',
      directions: 1000,
      resolution: 256,
    });
    const { faceNormals } = computeFaceGeometry(mesh);
    // A direction uniform on the hemisphere of n, weighted by max(0, d·front): the integral over both
    // hemispheres is π (1 + cos θ) / 2, against π for all. The least cosine of 0.02 takes up to 0.03 away.
    for (let f = 0; f < mesh.faceCount; f++)
      expect(Math.abs(faceExposure[f]! - (1 + faceNormals[3 * f + 2]!) / 2)).toBeLessThan(0.05);
  });

  test('the floor of a long groove sees the wedge of directions between its walls', () => {
    // Walls of height h at ±1/2: the opening angle is 2·atan(1/(2h)), out of π for an open floor.
    const length = 40;
    const floor: [number, number, number][] = [];
    for (let z = 0; z < length; z++) for (const x of [-1, 0, 1]) floor.push([x, 0, z]);
    for (const height of [1, 2]) {
      const walls = floor.flatMap(([x, , z]) =>
        x === 0 ? [] : Array.from({ length: height }, (_, y): [number, number, number] => [x, y + 1, z]),
      );
      const mesh = meshOf(cells([...floor, ...walls]));
      const { faceExposure } = computeExposure(mesh, { directions: 800, resolution: 768 });
      const expected = (2 / Math.PI) * Math.atan(1 / (2 * height));
      const seen = faceExposure[faceAt(mesh, [0.5, 1, length / 2 + 0.5])]!;
      expect(Math.abs(seen - expected)).toBeLessThan(0.025);
    }
  });

  test('a face is seen from its front only, and hides from both sides', () => {
    const front = patch(4, 4);
    const behind = moved(front, ([x, y]) => [x, y, -1]);
    const mesh = meshOf(joined(front, behind));
    const look = (direction: Vec3) => computeExposure(mesh, { viewpoints: [{ direction }] }).faceExposure;
    expect([...look([0, 0, 1])]).toEqual([...new Array(16).fill(1), ...new Array(16).fill(0)]);
    expect(Math.max(...look([0, 0, -1]))).toBe(0);
  });

  test('the inside of a tube is not seen where it faces outwards, nor its hidden edges', () => {
    const mesh = meshOf(tube(24, 8, 0.3, 2));
    const { edgeExposure } = computeExposure(mesh);
    expect(Math.min(...edgeExposure)).toBeGreaterThan(0.9);
  });

  test('covered faces are never seen, but still hide', () => {
    const mesh = meshOf(sphere(6));
    const coveredFaces = new Uint8Array(mesh.faceCount).fill(1, 0, 36);
    const plain = computeExposure(mesh);
    const { faceExposure } = computeExposure(mesh, { coveredFaces });
    for (let f = 0; f < mesh.faceCount; f++) expect(faceExposure[f]).toBe(f < 36 ? 0 : plain.faceExposure[f]);
  });
});

describe('computeExposure against ray casts', () => {
  const half = sphereDirections(100, buildAxisFrame());
  const directions = withOpposites(half);

  for (const [name, input, limit] of [
    ['a creature of quads', creature(), 0.02],
    ['a creature of triangles', triangulated(creature(2, 2)), 0.02],
    [
      'an open tube with a ball inside',
      joined(
        tube(20, 10, 1.5, 2),
        moved(sphere(8, 0.9), ([x, y, z]) => [x + 0.3, y + 1.4, z]),
      ),
      0.02,
    ],
    ['a dented sphere', moved(sphere(14), ([x, y, z]) => [x, y, z > 0.3 ? 0.6 - z : z]), 0.02],
  ] as const)
    test(`mean error under ${limit} on ${name}`, () => {
      const mesh = meshOf(input);
      const edges = Int32Array.from({ length: mesh.edgeCount }, (_, e) => e).filter((e) => e % 2 === 0);
      const seen = castEdges(mesh, directions, edges);
      const [all, front] = computeExposures(mesh, ['all-round', 'front'], { resolution: 768 });
      const frontWeights = directions.map((d) => Math.max(0, d[2]));
      const frontTotal = frontWeights.reduce((a, b) => a + b, 0);
      let allError = 0;
      let frontError = 0;
      edges.forEach((e, i) => {
        let count = 0;
        let weight = 0;
        seen.forEach((s, d) => {
          count += s[i]!;
          weight += s[i]! * frontWeights[d]!;
        });
        allError += Math.abs(all!.edgeExposure[e]! - Math.min(1, (2 * count) / directions.length));
        frontError += Math.abs(front!.edgeExposure[e]! - Math.min(1, weight / frontTotal));
      });
      expect(allError / edges.length).toBeLessThan(limit);
      expect(frontError / edges.length).toBeLessThan(limit);
    });
});

describe('computeExposure laws', () => {
  const input = creature(2, 2);
  const mesh = meshOf(input);
  const base = computeExposures(mesh, ['all-round', 'front', 'behind-above']);

  test('values lie in 0..1, and several sets in one pass equal each alone', () => {
    for (const exposure of base)
      for (const values of Object.values(exposure))
        for (const value of values as Float64Array) expect(value >= 0 && value <= 1).toBe(true);
    expect(computeExposure(mesh, { viewpoints: 'front' }).edgeExposure).toEqual(base[1]!.edgeExposure);
    expect(computeExposure(mesh, { viewpoints: 'behind-above' })).toEqual(base[2]);
  });

  test('mirrored edges of a mirrored model get the same value', () => {
    const { edgePartners } = findMirror(mesh)!;
    for (let e = 0; e < mesh.edgeCount; e++)
      expect(base[0]!.edgeExposure[edgePartners[e]!]).toBeCloseTo(base[0]!.edgeExposure[e]!, 9);
  });

  test('the order of points, faces and corners has no say', () => {
    for (const seed of [1, 2]) {
      const shuffled = shuffle(input, seed);
      const other = computeExposures(meshOf(shuffled.input), ['all-round'])[0]!;
      shuffled.faces.forEach((old, f) => {
        expect(other.faceExposure[f]).toBeCloseTo(base[0]!.faceExposure[old]!, 9);
      });
    }
  });

  test('turning the model with its axes, moving and scaling it changes nothing', () => {
    const turn = rotation(0.3, 0.7, 0.2);
    const turned = meshOf(
      moved(input, (p) => {
        const q = turn(p);
        return [1000 * q[0] + 5, 1000 * q[1] - 7, 1000 * q[2] + 11];
      }),
    );
    const other = computeExposure(turned, { up: turn([0, 1, 0]), front: turn([0, 0, 1]) });
    let worst = 0;
    for (let e = 0; e < mesh.edgeCount; e++)
      worst = Math.max(worst, Math.abs(other.edgeExposure[e]! - base[0]!.edgeExposure[e]!));
    // Quads with equal diagonals may be split the other way: one direction of a hundred may decide otherwise.
    expect(worst).toBeLessThan(0.025);
  });

  test('a list of viewpoints is the weighted mean of its members', () => {
    const list: Viewpoint[] = [{ direction: [0, 0, 2], weight: 3 }, { direction: [1, 1, 0] }];
    const both = computeExposure(mesh, { viewpoints: list }).edgeExposure;
    const [first, second] = list.map((v) => computeExposure(mesh, { viewpoints: [v] }).edgeExposure);
    for (let e = 0; e < mesh.edgeCount; e++)
      expect(both[e]).toBeCloseTo((3 * first![e]! + second![e]!) / 4, 12);
  });

  test('the same input gives the same bytes', () => {
    expect(computeExposures(mesh, ['all-round', 'front', 'behind-above'])).toEqual(base);
  });

  test('an edge between two seen vertices of a straight ridge is seen from the front it faces', () => {
    const front = base[1]!.edgeExposure;
    const behind = base[2]!.edgeExposure;
    const z = (e: number) => {
      const [a, b] = edgeVertices(mesh, e);
      return mesh.points[3 * mesh.vertexPoints[a]! + 2]! + mesh.points[3 * mesh.vertexPoints[b]! + 2]!;
    };
    const order = Array.from({ length: mesh.edgeCount }, (_, e) => e).sort((a, b) => z(a) - z(b));
    const rear = order.slice(0, 20);
    const fore = order.slice(-20);
    expect(mean(fore.map((e) => front[e]!))).toBeGreaterThan(mean(rear.map((e) => front[e]!)) + 0.5);
    expect(mean(rear.map((e) => behind[e]!))).toBeGreaterThan(mean(fore.map((e) => behind[e]!)) + 0.3);
  });
});

describe('computeExposure refuses', () => {
  const mesh = meshOf(sphere(2));
  for (const [name, options] of [
    ['parallel up and front', { up: [0, 0, 1], front: [0, 0, -2] }],
    ['a zero direction', { viewpoints: [{ direction: [0, 0, 0] }] }],
    ['a direction that is not finite', { viewpoints: [{ direction: [0, NaN, 1] }] }],
    ['a negative weight', { viewpoints: [{ direction: [0, 0, 1], weight: -1 }] }],
    ['weights of 0 only', { viewpoints: [{ direction: [0, 0, 1], weight: 0 }] }],
    ['no viewpoints', { viewpoints: [] }],
    ['an unknown preset', { viewpoints: 'sideways' }],
    ['no directions', { directions: 0 }],
    ['half a pixel', { resolution: 0.5 }],
    ['coveredFaces of the wrong length', { coveredFaces: new Uint8Array(3) }],
  ] as const)
    test(name, () => {
      expect(() => computeExposure(mesh, options as never)).toThrowError(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
    });
});
