import type { Vec3 } from '../../math/index.js';
import type { PlainMesh } from '../face-list.js';
import { FaceList } from '../face-list.js';

/** Cells of the sheet along one bolt hole with its rim. */
const CELL = 2;

/**
 * An angle bracket: a sheet of some thickness folded at a right angle, with round bolt holes in both
 * plates. Closed, sharp-edged, all quads; its genus is the number of holes.
 */
export function bracket({ holesPerPlate = 2, thickness = 0.3, holeRadius = 0.55 } = {}): PlainMesh {
  const list = new FaceList();
  // A sheet of unit cells: one cell of rim, then hole, rim, hole, rim ... along the fold; both plates alike.
  const width = 1 + holesPerPlate * (CELL + 1);
  const depth = 1 + CELL + 1;
  const side = [new Map<string, number>(), new Map<string, number>()];
  const place = (s: number, t: number, isInner: boolean): Vec3 => {
    const lift = isInner ? thickness : 0;
    return t <= depth ? [s, lift, Math.max(depth - t, lift)] : [s, Math.max(t - depth, lift), lift];
  };
  const at = (s: number, t: number, layer: number): number => {
    const key = `${s} ${t}`;
    let point = side[layer]!.get(key);
    if (point === undefined) {
      point = list.point(...place(s, t, layer === 1));
      side[layer]!.set(key, point);
    }
    return point;
  };
  const isHole = (s: number, t: number) =>
    (s - 1) % (CELL + 1) < CELL && s >= 1 && s < width - 1 && t % depth >= 1 && t % depth < 1 + CELL;
  // The outer layer looks down and back, the inner one up and to the front.
  const both = (corners: readonly (readonly [number, number])[]) => {
    list.face(...corners.map(([s, t]) => at(s, t, 0)));
    list.face(...corners.map(([s, t]) => at(s, t, 1)).reverse());
  };
  for (let t = 0; t < 2 * depth; t++)
    for (let s = 0; s < width; s++)
      if (!isHole(s, t))
        both([
          [s, t],
          [s, t + 1],
          [s + 1, t + 1],
          [s + 1, t],
        ]);
  const edge = (a: readonly [number, number], b: readonly [number, number]) =>
    list.face(at(...b, 0), at(...a, 0), at(...a, 1), at(...b, 1));
  for (let s = 0; s < width; s++) {
    edge([s + 1, 0], [s, 0]);
    edge([s, 2 * depth], [s + 1, 2 * depth]);
  }
  for (let t = 0; t < 2 * depth; t++) {
    edge([0, t], [0, t + 1]);
    edge([width, t + 1], [width, t]);
  }
  for (let plate = 0; plate < 2; plate++)
    for (let hole = 0; hole < holesPerPlate; hole++) addHole(2 + hole * (CELL + 1), plate * depth + 2);
  return list.toMesh();

  /** Eight quads from the square of cells to the round hole on each layer, and the hole's wall. */
  function addHole(s: number, t: number): void {
    const square = [
      [-1, -1],
      [-1, 0],
      [-1, 1],
      [0, 1],
      [1, 1],
      [1, 0],
      [1, -1],
      [0, -1],
    ] as const;
    const rings = [0, 1].map((layer) =>
      square.map(([u, v]) => {
        const k = holeRadius / Math.hypot(u, v);
        return list.point(...place(s + k * u, t + k * v, layer === 1));
      }),
    ) as [number[], number[]];
    for (let i = 0; i < 8; i++) {
      const j = (i + 1) % 8;
      const [a, b] = [square[i]!, square[j]!];
      list.face(at(s + a[0], t + a[1], 0), at(s + b[0], t + b[1], 0), rings[0][j]!, rings[0][i]!);
      list.face(rings[1][i]!, rings[1][j]!, at(s + b[0], t + b[1], 1), at(s + a[0], t + a[1], 1));
      list.face(rings[0][i]!, rings[0][j]!, rings[1][j]!, rings[1][i]!);
    }
  }
}
