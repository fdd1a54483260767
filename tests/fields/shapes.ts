import type { Mesh, MeshInput } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { seededRandom } from '../../src/testing/index.js';

type Point = readonly [number, number, number];

/** Collects faces by position; equal positions become one point. */
class Surface {
  readonly #points: number[] = [];
  readonly #keys = new Map<string, number>();
  readonly #counts: number[] = [];
  readonly #indices: number[] = [];

  add(...corners: Point[]): void {
    this.#counts.push(corners.length);
    for (const p of corners) {
      const key = p.map((x) => Math.round(x * 1e8)).join();
      let index = this.#keys.get(key);
      if (index === undefined) {
        index = this.#points.push(...p) / 3 - 1;
        this.#keys.set(key, index);
      }
      this.#indices.push(index);
    }
  }

  input(): MeshInput {
    return { points: this.#points, faceVertexCounts: this.#counts, faceVertexIndices: this.#indices };
  }
}

/** Closed unit sphere of 6 n² quads, evenly spaced in angle. */
export function sphere(n: number, radius = 1): MeshInput {
  const surface = new Surface();
  for (let axis = 0; axis < 3; axis++)
    for (const side of [-1, 1]) {
      const at = (i: number, j: number): Point => {
        const p = [0, 0, 0];
        p[axis] = side;
        p[(axis + 1) % 3] = side * Math.tan(((2 * i) / n - 1) * (Math.PI / 4));
        p[(axis + 2) % 3] = Math.tan(((2 * j) / n - 1) * (Math.PI / 4));
        const length = Math.hypot(...p);
        return [(radius * p[0]!) / length, (radius * p[1]!) / length, (radius * p[2]!) / length];
      };
      for (let i = 0; i < n; i++)
        for (let j = 0; j < n; j++) surface.add(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
    }
  return surface.input();
}

/** Flat open patch of n × m unit quads in the plane z = 0, facing +z. */
export function patch(n: number, m: number): MeshInput {
  const surface = new Surface();
  for (let i = 0; i < n; i++)
    for (let j = 0; j < m; j++) surface.add([i, j, 0], [i + 1, j, 0], [i + 1, j + 1, 0], [i, j + 1, 0]);
  return surface.input();
}

/** Open tube along y of n sides and m rings, facing outwards. */
export function tube(n: number, m: number, radius: number, length: number): MeshInput {
  const surface = new Surface();
  const at = (i: number, j: number): Point => {
    const angle = (2 * Math.PI * (i % n)) / n;
    return [radius * Math.cos(angle), (length * j) / m, radius * Math.sin(angle)];
  };
  for (let j = 0; j < m; j++)
    for (let i = 0; i < n; i++) surface.add(at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j));
  return surface.input();
}

/** Torus of p × q quads, one handle. */
export function torus(p: number, q: number, big = 2, small = 0.7): MeshInput {
  const surface = new Surface();
  const at = (i: number, j: number): Point => {
    const a = (2 * Math.PI * (i % p)) / p;
    const b = (2 * Math.PI * (j % q)) / q;
    const r = big + small * Math.cos(b);
    return [r * Math.cos(a), small * Math.sin(b), r * Math.sin(a)];
  };
  for (let i = 0; i < p; i++)
    for (let j = 0; j < q; j++) surface.add(at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j));
  return surface.input();
}

/** The boundary quads of a set of unit cells, facing outwards, and smoothed by some rounds of averaging. */
export function cells(filled: readonly Point[], rounds = 0, split = 1): MeshInput {
  const key = (p: readonly number[]) => p.join();
  const fine: Point[] = filled.flatMap(([x, y, z]) =>
    Array.from(
      { length: split ** 3 },
      (_, i): Point => [
        x * split + (i % split),
        y * split + (Math.floor(i / split) % split),
        z * split + Math.floor(i / split ** 2),
      ],
    ),
  );
  const isFilled = new Set(fine.map(key));
  const surface = new Surface();
  for (const cell of fine)
    for (let axis = 0; axis < 3; axis++)
      for (const side of [0, 1]) {
        const beside = [...cell];
        beside[axis]! += side ? 1 : -1;
        if (isFilled.has(key(beside))) continue;
        const corner = (u: number, v: number): Point => {
          const p = [...cell] as [number, number, number];
          p[axis]! += side;
          p[(axis + 1) % 3]! += u;
          p[(axis + 2) % 3]! += v;
          return [p[0] / split, p[1] / split, p[2] / split];
        };
        const ring = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
        surface.add(...(side ? ring : ring.reverse()));
      }
  return smooth(surface.input(), rounds);
}

function smooth(input: MeshInput, rounds: number): MeshInput {
  let points = Array.from(input.points);
  for (let round = 0; round < rounds; round++) {
    const sums = new Array<number>(points.length).fill(0);
    const counts = new Array<number>(points.length / 3).fill(0);
    for (let c = 0; c < input.faceVertexIndices.length; c += 4)
      for (let k = 0; k < 4; k++) {
        const a = input.faceVertexIndices[c + k]!;
        const b = input.faceVertexIndices[c + ((k + 1) % 4)]!;
        for (const [p, q] of [
          [a, b],
          [b, a],
        ] as const) {
          for (let i = 0; i < 3; i++) sums[3 * p + i]! += points[3 * q + i]!;
          counts[p]!++;
        }
      }
    points = points.map((x, i) => (x + sums[i]! / counts[Math.floor(i / 3)]!) / 2);
  }
  return { ...input, points };
}

/** A creature of cells, mirrored in x: trunk, head with a snout in front, two arms, two legs, a tail. */
export function creature(split = 3, rounds = 3): MeshInput {
  const half: Point[] = [
    [0, 0, 0], [0, 1, 0], [0, 2, 0], [0, 3, 0], [0, 4, 0], [0, 4, 1],
    [0, 0, -1], [0, 0, -2], [1, -1, 0], [1, -2, 0], [1, -3, 0], [1, 0, 0],
    [1, 2, 0], [2, 2, 0], [3, 2, 0], [3, 1, 0], [4, 2, 0],
  ]; // biome-ignore format: one row per body part
  const both = half.flatMap(([x, y, z]): Point[] => [
    [x, y, z],
    [-1 - x, y, z],
  ]);
  return cells(both, rounds, split);
}

/** Several surfaces in one input, each a shell of its own. */
export function joined(...inputs: readonly MeshInput[]): MeshInput {
  const points: number[] = [];
  const counts: number[] = [];
  const indices: number[] = [];
  for (const input of inputs) {
    const first = points.length / 3;
    points.push(...Array.from(input.points));
    counts.push(...Array.from(input.faceVertexCounts));
    indices.push(...Array.from(input.faceVertexIndices, (p) => first + p));
  }
  return { points, faceVertexCounts: counts, faceVertexIndices: indices };
}

export interface Shuffled {
  readonly input: MeshInput;
  /** Old point of each new point. */
  readonly points: Int32Array;
  /** Old face of each new face. */
  readonly faces: Int32Array;
}

/** The same surface with points, faces and the first corner of each face in another order. */
export function shuffle(input: MeshInput, seed: number): Shuffled {
  const random = seededRandom(seed);
  const permute = (n: number) => {
    const order = Int32Array.from({ length: n }, (_, i) => i);
    for (let i = n - 1; i > 0; i--) {
      const j = Math.min(i, Math.floor(random.between(0, i + 1)));
      [order[i], order[j]] = [order[j]!, order[i]!];
    }
    return order;
  };
  const points = permute(input.points.length / 3);
  const faces = permute(input.faceVertexCounts.length);
  const newPoint = new Int32Array(points.length);
  points.forEach((old, i) => {
    newPoint[old] = i;
  });
  const starts = [0];
  for (let f = 0; f < faces.length; f++) starts.push(starts[f]! + input.faceVertexCounts[f]!);
  const indices: number[] = [];
  for (const f of faces) {
    const n = input.faceVertexCounts[f]!;
    const turn = Math.floor(random.between(0, n));
    for (let k = 0; k < n; k++)
      indices.push(newPoint[input.faceVertexIndices[starts[f]! + ((k + turn) % n)]!]!);
  }
  return {
    input: {
      points: Array.from(points, (p) => [0, 1, 2].map((k) => input.points[3 * p + k]!)).flat(),
      faceVertexCounts: Array.from(faces, (f) => input.faceVertexCounts[f]!),
      faceVertexIndices: indices,
    },
    points,
    faces,
  };
}

/** The same surface with every point moved. */
export function moved(input: MeshInput, move: (p: Point) => Point): MeshInput {
  const points: number[] = [];
  for (let i = 0; i < input.points.length; i += 3)
    points.push(...move([input.points[i]!, input.points[i + 1]!, input.points[i + 2]!]));
  return { ...input, points };
}

/** Every face as a fan of triangles from its first corner. */
export function triangulated(input: MeshInput): MeshInput {
  const indices: number[] = [];
  let start = 0;
  for (let f = 0; f < input.faceVertexCounts.length; f++) {
    const n = input.faceVertexCounts[f]!;
    for (let k = 1; k + 1 < n; k++)
      indices.push(
        input.faceVertexIndices[start]!,
        input.faceVertexIndices[start + k]!,
        input.faceVertexIndices[start + k + 1]!,
      );
    start += n;
  }
  return {
    points: input.points,
    faceVertexCounts: new Array(indices.length / 3).fill(3),
    faceVertexIndices: indices,
  };
}

/** Rotation by unit quaternion made from three numbers in 0..1 (Shoemake 1992). */
export function rotation(u: number, v: number, w: number): (p: Point) => Point {
  const a = Math.sqrt(1 - u);
  const b = Math.sqrt(u);
  const [x, y, z, s] = [
    a * Math.sin(2 * Math.PI * v),
    a * Math.cos(2 * Math.PI * v),
    b * Math.sin(2 * Math.PI * w),
    b * Math.cos(2 * Math.PI * w),
  ];
  return ([px, py, pz]) => [
    (1 - 2 * (y * y + z * z)) * px + 2 * (x * y - s * z) * py + 2 * (x * z + s * y) * pz,
    2 * (x * y + s * z) * px + (1 - 2 * (x * x + z * z)) * py + 2 * (y * z - s * x) * pz,
    2 * (x * z - s * y) * px + 2 * (y * z + s * x) * py + (1 - 2 * (x * x + y * y)) * pz,
  ];
}

export const meshOf = (input: MeshInput): Mesh => buildMesh(input);
