import type { MeshInput } from '../../src/mesh/index.js';

/** Numbers in [0, 1) from a seed (mulberry32, public domain). */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

type Random = () => number;
const integer = (random: Random, low: number, high: number) => low + Math.floor(random() * (high - low + 1));
const centred = (random: Random) => 2 * random() - 1;

function toInput(points: number[], faces: number[][]): MeshInput {
  return { points, faceVertexCounts: faces.map((f) => f.length), faceVertexIndices: faces.flat() };
}

/** A grid of columns × rows cells over a function, as quads, triangles or both. */
export function gridChart(
  columns: number,
  rows: number,
  place: (u: number, v: number) => [number, number, number],
  split: (cell: number) => 'quad' | 'rising' | 'falling' = () => 'quad',
  isKept: (column: number, row: number) => boolean = () => true,
): MeshInput {
  const points: number[] = [];
  for (let j = 0; j <= rows; j++)
    for (let i = 0; i <= columns; i++) points.push(...place(i / columns, j / rows));
  const faces: number[][] = [];
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      if (!isKept(i, j)) continue;
      const a = j * (columns + 1) + i;
      const [b, c, d] = [a + 1, a + columns + 2, a + columns + 1];
      const kind = split(j * columns + i);
      if (kind === 'quad') faces.push([a, b, c, d]);
      else if (kind === 'rising') faces.push([a, b, c], [a, c, d]);
      else faces.push([a, b, d], [b, c, d]);
    }
  }
  return toInput(points, faces);
}

/** Rings round a pole: `profile` gives radius and height of ring k of `rings`. */
export function polarChart(
  sectors: number,
  rings: number,
  profile: (k: number) => [number, number],
  jitter: Random = () => 0.5,
  noise = 0,
): MeshInput {
  const points: number[] = [];
  const push = (x: number, y: number, z: number) =>
    points.push(
      x + noise * (2 * jitter() - 1),
      y + noise * (2 * jitter() - 1),
      z + noise * (2 * jitter() - 1),
    );
  push(0, 0, profile(0)[1]);
  for (let k = 1; k <= rings; k++) {
    const [radius, height] = profile(k);
    for (let s = 0; s < sectors; s++) {
      const angle = (2 * Math.PI * s) / sectors;
      push(radius * Math.cos(angle), radius * Math.sin(angle), height);
    }
  }
  const faces: number[][] = [];
  const at = (k: number, s: number) => 1 + (k - 1) * sectors + (s % sectors);
  for (let s = 0; s < sectors; s++) faces.push([0, at(1, s), at(1, s + 1)]);
  for (let k = 1; k < rings; k++)
    for (let s = 0; s < sectors; s++) faces.push([at(k, s), at(k + 1, s), at(k + 1, s + 1), at(k, s + 1)]);
  return toInput(points, faces);
}

const splitter = (random: Random) => () => (['quad', 'rising', 'falling'] as const)[integer(random, 0, 2)]!;

/** Cap of a sphere with noise; the pole has 3 to 200 neighbours. */
function noisyCap(random: Random): MeshInput {
  const sectors = random() < 0.3 ? integer(random, 60, 200) : integer(random, 3, 30);
  const rings = integer(random, 1, sectors > 60 ? 3 : 10);
  const angle = 0.2 + 2.6 * random();
  const noise = 0.3 * random() * random() * (angle / rings);
  return polarChart(
    sectors,
    rings,
    (k) => [Math.sin((angle * k) / rings), Math.cos((angle * k) / rings)],
    random,
    noise,
  );
}

/** Back of the comb and teeth, the whole bent round a random curve. */
function comb(random: Random): MeshInput {
  const teeth = integer(random, 2, 6);
  const length = integer(random, 2, 12);
  const bend = 6 * random();
  const noise = 0.2 * random() * random();
  return gridChart(
    2 * teeth - 1,
    length + 2,
    (u, v) => {
      const x = u * (2 * teeth - 1);
      const y = v * (length + 2);
      const angle = (bend * y) / (length + 2) + 0.3 * x * centred(random) * noise;
      const radius = (length + 2) / Math.max(bend, 0.1) + 0.3 * x;
      return [
        x + noise * centred(random),
        radius * Math.sin(angle),
        radius * Math.cos(angle) + noise * centred(random),
      ];
    },
    splitter(random),
    (i, j) => j < 2 || i % 2 === 0,
  );
}

/** A ramp that winds round an axis up to three times: flattened naively it lies on itself. */
function windingRamp(random: Random): MeshInput {
  const turns = 0.5 + 2.5 * random();
  const inner = 0.3 + random();
  const width = 0.3 + random();
  const rise = 0.2 + 2 * random();
  const noise = 0.05 * random();
  return gridChart(
    integer(random, 1, 3),
    Math.ceil(14 * turns),
    (u, v) => {
      const angle = -2 * Math.PI * turns * v;
      const radius = inner + width * u;
      return [
        radius * Math.cos(angle) + noise * centred(random),
        radius * Math.sin(angle),
        rise * turns * v + noise * centred(random),
      ];
    },
    splitter(random),
  );
}

/** Uncut fingers: long closed tubes, one opening at the border. */
function finger(random: Random): MeshInput {
  const sectors = integer(random, 3, 12);
  const rings = integer(random, 4, 24);
  const radius = 0.3 + random();
  const length = radius * (2 + 18 * random());
  return polarChart(
    sectors,
    rings,
    (k) =>
      k <= 2
        ? [(radius * k) / 2, length]
        : [radius * (1 + 0.1 * centred(random)), length * (1 - (k - 2) / (rings - 2))],
    random,
    0.05 * random() * radius,
  );
}

/** Cells up to a thousand times longer than wide. */
function needles(random: Random): MeshInput {
  const columns = integer(random, 1, 8);
  const rows = integer(random, 1, 8);
  const aspect = 10 ** (3 * random());
  const height = random();
  return gridChart(
    columns,
    rows,
    (u, v) => [
      u * columns * aspect,
      v * rows,
      height * Math.sin(3 * u + 2 * v) + 0.1 * height * centred(random),
    ],
    splitter(random),
  );
}

/** Rough ground with spikes. */
function terrain(random: Random): MeshInput {
  const columns = integer(random, 2, 12);
  const rows = integer(random, 2, 12);
  const height = 3 * random() * random();
  return gridChart(
    columns,
    rows,
    (u, v) => [
      u * columns + 0.6 * (random() - 0.5),
      v * rows + 0.6 * (random() - 0.5),
      height * random() * (random() < 0.1 ? 4 : 1),
    ],
    splitter(random),
  );
}

/**
 * A disk grown face by face in a random way: polygons glued on the border or closing a notch of it; corners
 * at random places, so that nothing about its geometry is tame.
 */
function wild(random: Random): MeshInput {
  const points: number[] = [];
  const addPoint = () => points.push(centred(random), centred(random), centred(random)) / 3 - 1;
  let border = [addPoint(), addPoint(), addPoint()];
  const faces = [border.slice()];
  const edges = new Set<string>();
  const key = (a: number, b: number) => `${Math.min(a, b)},${Math.max(a, b)}`;
  const mark = (face: number[]) => {
    for (const [i, a] of face.entries()) edges.add(key(a, face[(i + 1) % face.length]!));
  };
  mark(faces[0]!);
  const growth = integer(random, 3, 60);
  const hub = random() < 0.3;
  for (let k = 0; k < growth; k++) {
    const n = border.length;
    const i = hub && border.includes(0) ? border.indexOf(0) : integer(random, 0, n - 1);
    const a = border[i]!;
    const b = border[(i + 1) % n]!;
    const c = border[(i + 2) % n]!;
    if (random() < 0.4 && n > 3 && !edges.has(key(a, c))) {
      const face = [a, c, b];
      faces.push(face);
      mark(face);
      border.splice((i + 1) % n, 1);
    } else {
      const fresh = Array.from({ length: integer(random, 1, 3) }, addPoint);
      const face = [b, a, ...fresh];
      faces.push(face);
      mark(face);
      border = [...border.slice(0, i + 1), ...fresh, ...border.slice(i + 1)];
    }
  }
  return toInput(points, faces);
}

/** Ground where some cells have collapsed to lines or points. */
function collapsed(random: Random): MeshInput {
  const input = terrain(random);
  const points = Array.from(input.points);
  const count = points.length / 3;
  for (let k = integer(random, 1, 4); k > 0; k--) {
    const a = integer(random, 0, count - 1);
    const b = (a + 1) % count;
    // Nearly, not exactly: exact copies would be welded.
    const t = random() < 0.5 ? 1 - 1e-6 : 1 - 1e-5;
    for (let c = 0; c < 3; c++) points[3 * a + c] = points[3 * b + c]! * t + points[3 * a + c]! * (1 - t);
  }
  return { ...input, points };
}

export const RANDOM_CHARTS: Readonly<Record<string, (random: Random) => MeshInput>> = {
  noisyCap,
  comb,
  windingRamp,
  finger,
  needles,
  terrain,
  wild,
  collapsed,
};
