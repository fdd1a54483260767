import type { PlainMesh } from '../face-list.js';
import { FaceList } from '../face-list.js';
import { onSphere } from './round-shapes.js';

export type Cell = readonly [i: number, j: number, k: number];

/**
 * The skin of a set of unit cells in a box of `size` cells: one quad per side between a cell inside and
 * one outside. Cells should not touch along a lone edge or corner, or the skin pinches there.
 */
export function cellSkin(size: Cell, isInside: (i: number, j: number, k: number) => boolean): PlainMesh {
  const list = new FaceList();
  const points = new Map<string, number>();
  const at = (p: readonly number[]): number => {
    const key = p.join();
    let point = points.get(key);
    if (point === undefined) {
      point = list.point(p[0]!, p[1]!, p[2]!);
      points.set(key, point);
    }
    return point;
  };
  const has = (cell: readonly number[]) =>
    cell.every((x, axis) => x >= 0 && x < size[axis]!) && isInside(cell[0]!, cell[1]!, cell[2]!);
  for (let i = 0; i < size[0]; i++)
    for (let j = 0; j < size[1]; j++)
      for (let k = 0; k < size[2]; k++) {
        if (!has([i, j, k])) continue;
        for (let axis = 0; axis < 3; axis++)
          for (const side of [0, 1]) {
            const beyond = [i, j, k];
            beyond[axis]! += side === 1 ? 1 : -1;
            if (has(beyond)) continue;
            const corners = [
              [0, 0],
              [1, 0],
              [1, 1],
              [0, 1],
            ].map(([a, b]) => {
              const p = [i, j, k];
              p[axis]! += side;
              p[(axis + 1) % 3]! += a!;
              p[(axis + 2) % 3]! += b!;
              return at(p);
            });
            list.face(...(side === 1 ? corners : corners.reverse()));
          }
      }
  return list.toMesh();
}

/** A box of n × n quads per side, edge length `size`, one corner at the origin. */
export function cube({ size = 1, n = 1 } = {}): PlainMesh {
  const skin = cellSkin([n, n, n], () => true);
  return { ...skin, points: skin.points.map((x) => (x * size) / n) };
}

/** A cube of n × n quads per side pushed to the sphere. */
export function cubeSphere({ radius = 1, n = 4 } = {}): PlainMesh {
  const skin = cellSkin([n, n, n], () => true);
  const points = new Float64Array(skin.points.length);
  for (let p = 0; p < points.length; p += 3) {
    // Equal angles rather than equal lengths along a side keep the quads near one size.
    const [x, y, z] = [0, 1, 2].map((axis) => Math.tan(((skin.points[p + axis]! / n - 0.5) * Math.PI) / 2));
    points.set(onSphere([x!, y!, z!], radius), p);
  }
  return { ...skin, points };
}

/** A block with `genus` square holes in a row: a closed surface of that genus, flat and sharp-edged. */
export function holedBlock(genus: number, { n = 1 } = {}): PlainMesh {
  const skin = cellSkin([(2 * genus + 1) * n, 3 * n, n], (i, j) => {
    const [a, b] = [Math.floor(i / n), Math.floor(j / n)];
    return !(b === 1 && a % 2 === 1);
  });
  return { ...skin, points: skin.points.map((x) => x / n) };
}

/** A flat patch of the cells of an m × n grid that `isInside` keeps, facing +z. */
export function cellPatch(
  m: number,
  n: number,
  isInside: (i: number, j: number) => boolean = () => true,
): PlainMesh {
  const list = new FaceList();
  const points = new Map<number, number>();
  const at = (i: number, j: number): number => {
    const key = j * (m + 1) + i;
    let point = points.get(key);
    if (point === undefined) {
      point = list.point(i, j, 0);
      points.set(key, point);
    }
    return point;
  };
  for (let j = 0; j < n; j++)
    for (let i = 0; i < m; i++)
      if (isInside(i, j)) list.face(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
  return list.toMesh();
}

/** A flat grid of m × n unit quads facing +z; `height` bends it into a relief. */
export function gridPatch(m: number, n = m, height: (x: number, y: number) => number = () => 0): PlainMesh {
  const patch = cellPatch(m, n);
  const points = patch.points.slice();
  for (let p = 0; p < points.length; p += 3) points[p + 2] = height(points[p]!, points[p + 1]!);
  return { ...patch, points };
}

/** A flat comb: a spine with `teeth` long teeth, one cell wide, a cell apart; its own flattening, awkward to pack. */
export const comb = (teeth: number, length: number): PlainMesh =>
  cellPatch(2 * teeth - 1, length + 1, (i, j) => j === 0 || i % 2 === 0);

/** A strip of quads with half a twist: one-sided, one border. */
export function mobiusStrip({ radius = 1, width = 0.6, segments = 24, rows = 2 } = {}): PlainMesh {
  const list = new FaceList();
  const lines = Array.from({ length: segments }, (_, i) => {
    const angle = (2 * Math.PI * i) / segments;
    return Array.from({ length: rows + 1 }, (_, j) => {
      const across = width * (j / rows - 0.5);
      const r = radius + across * Math.cos(angle / 2);
      return list.point(r * Math.sin(angle), across * Math.sin(angle / 2), r * Math.cos(angle));
    });
  });
  for (let i = 0; i + 1 < segments; i++) list.band(lines[i]!, lines[i + 1]!, false);
  list.band(lines[segments - 1]!, [...lines[0]!].reverse(), false);
  return list.toMesh();
}

/** A flat ribbon along an Archimedean spiral: a disk whose conformal flattening from a bad start overlaps itself. */
export function spiralStrip({ turns = 3, pitch = 1, width = 0.5, segments = 96, rows = 2 } = {}): PlainMesh {
  const list = new FaceList();
  const lines = Array.from({ length: segments + 1 }, (_, i) => {
    const angle = (2 * Math.PI * turns * i) / segments;
    return Array.from({ length: rows + 1 }, (_, j) => {
      const r = pitch * (1 + angle / (2 * Math.PI)) + width * (j / rows - 0.5);
      return list.point(r * Math.cos(angle), r * Math.sin(angle), 0);
    });
  });
  for (let i = 0; i < segments; i++) list.band([...lines[i]!], lines[i + 1]!, false);
  return flipAll(list.toMesh());
}

function flipAll(mesh: PlainMesh): PlainMesh {
  const indices = mesh.faceVertexIndices.slice();
  for (let f = 0, c = 0; f < mesh.faceVertexCounts.length; c += mesh.faceVertexCounts[f]!, f++)
    indices.subarray(c, c + mesh.faceVertexCounts[f]!).reverse();
  return { ...mesh, faceVertexIndices: indices };
}
