import type { PlainMesh } from '../face-list.js';
import { FaceList } from '../face-list.js';

/** How the end of a turned shape is finished: open, one polygon, or triangles round a middle point. */
export type EndCap = 'open' | 'polygon' | 'fan';

/**
 * Turns a profile about the y axis: `profile` lists [radius, height] from the bottom up for a surface that
 * faces outwards. A radius of 0 at an end closes it with triangles at a pole.
 */
export function revolve(
  profile: readonly (readonly [radius: number, height: number])[],
  segments: number,
  { bottom = 'open', top = 'open' }: { bottom?: EndCap; top?: EndCap } = {},
): PlainMesh {
  const list = new FaceList();
  const rows = profile.map(([radius, height]) =>
    radius === 0
      ? [list.point(0, height, 0)]
      : Array.from({ length: segments }, (_, i) => {
          // Counter-clockwise seen from above, so that quads going up look outwards.
          const angle = (2 * Math.PI * i) / segments;
          return list.point(radius * Math.sin(angle), height, radius * Math.cos(angle));
        }),
  );
  for (let r = 0; r + 1 < rows.length; r++) {
    const lower = rows[r]!;
    const upper = rows[r + 1]!;
    if (lower.length === 1) fan(list, upper, lower[0]!, true);
    else if (upper.length === 1) fan(list, lower, upper[0]!, false);
    else list.band(lower, upper, true);
  }
  cap(list, rows[0]!, bottom, profile[0]![1], true);
  cap(list, rows[rows.length - 1]!, top, profile[profile.length - 1]![1], false);
  return list.toMesh();
}

function fan(list: FaceList, ring: readonly number[], pole: number, isBelow: boolean): void {
  for (let i = 0; i < ring.length; i++) {
    const j = (i + 1) % ring.length;
    if (isBelow) list.face(pole, ring[j]!, ring[i]!);
    else list.face(ring[i]!, ring[j]!, pole);
  }
}

function cap(list: FaceList, ring: readonly number[], kind: EndCap, height: number, isBelow: boolean): void {
  if (kind === 'open' || ring.length === 1) return;
  if (kind === 'fan') fan(list, ring, list.point(0, height, 0), isBelow);
  else list.face(...(isBelow ? [...ring].reverse() : ring));
}
