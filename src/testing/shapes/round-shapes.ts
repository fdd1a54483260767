import type { Vec3 } from '../../math/index.js';
import type { PlainMesh } from '../face-list.js';
import { FaceList } from '../face-list.js';
import type { EndCap } from './revolve.js';
import { revolve } from './revolve.js';

const steps = (count: number): number[] => Array.from({ length: count + 1 }, (_, i) => i / count);

/** A cylinder about y from height 0: quads in `rows` bands, each end open or capped. */
export function cylinder({
  radius = 1,
  height = 2,
  segments = 32,
  rows = 1,
  ends = 'polygon' as EndCap,
} = {}): PlainMesh {
  return revolve(
    steps(rows).map((t) => [radius, t * height] as const),
    segments,
    { bottom: ends, top: ends },
  );
}

/** An upright prism over a regular polygon: n quads and two n-gons. */
export function prism(sides: number, { radius = 1, height = 1 } = {}): PlainMesh {
  return cylinder({ radius, height, segments: sides });
}

/** A cone with its apex at the top, as a fan of triangles (or bands below the fan), its base open or capped. */
export function cone({
  radius = 1,
  height = Math.sqrt(3),
  segments = 32,
  rows = 1,
  base = 'open' as EndCap,
} = {}): PlainMesh {
  return revolve(
    steps(rows).map((t) => [t === 1 ? 0 : radius * (1 - t), t * height] as const),
    segments,
    { bottom: base },
  );
}

/** A cone without its tip, open at both ends unless capped. */
export function frustum({
  bottomRadius = 2,
  topRadius = 1,
  height = Math.sqrt(3),
  segments = 32,
  rows = 1,
  ends = 'open' as EndCap,
} = {}): PlainMesh {
  return revolve(
    steps(rows).map((t) => [bottomRadius + t * (topRadius - bottomRadius), t * height] as const),
    segments,
    { bottom: ends, top: ends },
  );
}

/** A sphere of meridians and parallels: quads, with triangles at the two poles. */
export function uvSphere({ radius = 1, segments = 24, rows = 12 } = {}): PlainMesh {
  return revolve(
    steps(rows).map(
      (t) =>
        [t === 0 || t === 1 ? 0 : radius * Math.sin(Math.PI * t), -radius * Math.cos(Math.PI * t)] as const,
    ),
    segments,
  );
}

/** The part of a sphere about the top pole up to the half-angle, degrees; 90 is a hemisphere. */
export function sphericalCap({ radius = 1, halfAngle = 60, segments = 32, rows = 12 } = {}): PlainMesh {
  return revolve(
    steps(rows).map((t) => {
      const angle = ((halfAngle * Math.PI) / 180) * (1 - t);
      return [t === 1 ? 0 : radius * Math.sin(angle), radius * Math.cos(angle)] as const;
    }),
    segments,
  );
}

/** Half a sphere, open at the equator. */
export const hemisphere = (options: { radius?: number; segments?: number; rows?: number } = {}): PlainMesh =>
  sphericalCap({ ...options, halfAngle: 90 });

/** A cylinder with round ends. */
export function capsule({ radius = 0.5, height = 1, segments = 24, rows = 4, capRows = 6 } = {}): PlainMesh {
  const quarter = steps(capRows);
  return revolve(
    [
      ...quarter.map(
        (t) =>
          [
            t === 0 ? 0 : radius * Math.sin((t * Math.PI) / 2),
            -radius * Math.cos((t * Math.PI) / 2),
          ] as const,
      ),
      ...steps(rows)
        .slice(1)
        .map((t) => [radius, t * height] as const),
      ...quarter
        .slice(1)
        .map(
          (t) =>
            [
              t === 1 ? 0 : radius * Math.cos((t * Math.PI) / 2),
              height + radius * Math.sin((t * Math.PI) / 2),
            ] as const,
        ),
    ],
    segments,
  );
}

/** A flat ring that faces up. */
export function annulus({ innerRadius = 0.5, outerRadius = 1, segments = 32, rows = 3 } = {}): PlainMesh {
  return revolve(
    steps(rows).map((t) => [outerRadius + t * (innerRadius - outerRadius), 0] as const),
    segments,
  );
}

/** A torus about y as a grid of p × q quads: p round the axis, q round the tube. */
export function torus({ radius = 1, tube = 0.4, p = 24, q = 12 } = {}): PlainMesh {
  return bentTube({ radius, tube, p, q, degrees: 360 });
}

/** A piece of a torus, open at both ends: a pipe bend. */
export function tubeBend({ radius = 1, tube = 0.4, p = 12, q = 12, degrees = 90 } = {}): PlainMesh {
  return bentTube({ radius, tube, p, q, degrees });
}

function bentTube({
  radius,
  tube,
  p,
  q,
  degrees,
}: {
  radius: number;
  tube: number;
  p: number;
  q: number;
  degrees: number;
}): PlainMesh {
  const list = new FaceList();
  const isFull = degrees === 360;
  const rings = Array.from({ length: isFull ? p : p + 1 }, (_, i) => {
    const turn = ((degrees * Math.PI) / 180) * (i / p);
    return Array.from({ length: q }, (_, j) => {
      const angle = (2 * Math.PI * j) / q;
      const r = radius + tube * Math.cos(angle);
      return list.point(r * Math.sin(turn), tube * Math.sin(angle), r * Math.cos(turn));
    });
  });
  for (let i = 0; i < p; i++) {
    const a = rings[i]!;
    const b = rings[(i + 1) % rings.length]!;
    for (let j = 0; j < q; j++) {
      const k = (j + 1) % q;
      list.face(a[j]!, b[j]!, b[k]!, a[k]!);
    }
  }
  return list.toMesh();
}

const GOLDEN = (1 + Math.sqrt(5)) / 2;
const ICO_POINTS: readonly Vec3[] = [
  [-1, GOLDEN, 0],
  [1, GOLDEN, 0],
  [-1, -GOLDEN, 0],
  [1, -GOLDEN, 0],
  [0, -1, GOLDEN],
  [0, 1, GOLDEN],
  [0, -1, -GOLDEN],
  [0, 1, -GOLDEN],
  [GOLDEN, 0, -1],
  [GOLDEN, 0, 1],
  [-GOLDEN, 0, -1],
  [-GOLDEN, 0, 1],
];
const ICO_FACES: readonly Vec3[] = [
  [0, 11, 5],
  [0, 5, 1],
  [0, 1, 7],
  [0, 7, 10],
  [0, 10, 11],
  [1, 5, 9],
  [5, 11, 4],
  [11, 10, 2],
  [10, 7, 6],
  [7, 1, 8],
  [3, 9, 4],
  [3, 4, 2],
  [3, 2, 6],
  [3, 6, 8],
  [3, 8, 9],
  [4, 9, 5],
  [2, 4, 11],
  [6, 2, 10],
  [8, 6, 7],
  [9, 8, 1],
];

/** An icosahedron whose triangles are split `level` times and pushed to the sphere: 20 · 4^level triangles. */
export function icoSphere({ radius = 1, level = 2 } = {}): PlainMesh {
  const points: Vec3[] = ICO_POINTS.map((p) => onSphere(p, radius));
  let faces: readonly (readonly number[])[] = ICO_FACES;
  for (let step = 0; step < level; step++) {
    const middles = new Map<string, number>();
    const middle = (a: number, b: number): number => {
      const key = a < b ? `${a} ${b}` : `${b} ${a}`;
      const known = middles.get(key);
      if (known !== undefined) return known;
      const [p, q] = [points[a]!, points[b]!];
      const index = points.push(onSphere([p[0] + q[0], p[1] + q[1], p[2] + q[2]], radius)) - 1;
      middles.set(key, index);
      return index;
    };
    faces = faces.flatMap(([a, b, c]) => {
      const [ab, bc, ca] = [middle(a!, b!), middle(b!, c!), middle(c!, a!)];
      return [
        [a!, ab, ca],
        [ab, b!, bc],
        [ca, bc, c!],
        [ab, bc, ca],
      ];
    });
  }
  const list = new FaceList();
  list.points(points);
  for (const face of faces) list.face(...face);
  return list.toMesh();
}

export function onSphere([x, y, z]: Vec3, radius: number): Vec3 {
  const k = radius / Math.hypot(x, y, z);
  return [k * x, k * y, k * z];
}
