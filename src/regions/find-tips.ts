import type { TriangleSurface } from './triangle-surface.js';

/** An extremity of the surface: a maximum of a field, and where its hill meets a higher one. */
export interface Tip {
  readonly vertex: number;
  /** Height above the saddle, in the field's units; for the highest tip of a shell, above its lowest point. */
  readonly persistence: number;
  /** Vertex where the hill meets a higher one, -1 for the highest tip. */
  readonly saddle: number;
  /** Index of that higher hill's tip, -1 for the highest tip. */
  readonly elder: number;
}

/**
 * Maxima of a field and their persistence, by merging the sets above a falling level
 * (Edelsbrunner, Letscher & Zomorodian 2002). Only open vertices take part; ties go to the lower vertex.
 *
 * @returns tips of at least the least persistence, highest first
 */
export function findTips(
  surface: TriangleSurface,
  field: Float64Array,
  leastPersistence: number,
  isOpen?: Uint8Array,
): Tip[] {
  const { vertexCount, neighbourOffsets, neighbours } = surface;
  const order: number[] = [];
  for (let v = 0; v < vertexCount; v++) if ((!isOpen || isOpen[v]) && field[v]! < Infinity) order.push(v);
  order.sort((a, b) => field[b]! - field[a]! || a - b);
  const rank = new Int32Array(vertexCount).fill(vertexCount);
  order.forEach((v, i) => {
    rank[v] = i;
  });
  const roots = new Int32Array(vertexCount).fill(-1);
  const find = (v: number): number => {
    let root = v;
    while (roots[root] !== root) root = roots[root]!;
    while (roots[v] !== root) {
      const up = roots[v]!;
      roots[v] = root;
      v = up;
    }
    return root;
  };
  const found: { vertex: number; persistence: number; saddle: number; higher: number }[] = [];
  const lowest = new Map<number, number>();
  for (const v of order) {
    roots[v] = v;
    for (let i = neighbourOffsets[v]!; i < neighbourOffsets[v + 1]!; i++) {
      const w = neighbours[i]!;
      if (rank[w]! >= rank[v]!) continue;
      const a = find(v);
      const b = find(w);
      if (a === b) continue;
      // The root of a set is its highest vertex; the lower hill ends here.
      const [keep, end] = rank[a]! < rank[b]! ? [a, b] : [b, a];
      const persistence = field[end]! - field[v]!;
      if (persistence >= leastPersistence) found.push({ vertex: end, persistence, saddle: v, higher: keep });
      roots[end] = keep;
    }
    lowest.set(find(v), field[v]!);
  }
  for (const v of order)
    if (find(v) === v)
      found.push({ vertex: v, persistence: field[v]! - lowest.get(v)!, saddle: -1, higher: -1 });
  found.sort((a, b) => rank[a.vertex]! - rank[b.vertex]!);
  // A hill that met another is lost in it from then on, so the higher one's tip has always outlived it.
  const index = new Map(found.map(({ vertex }, i) => [vertex, i]));
  return found.map(({ higher, ...tip }) => ({ ...tip, elder: index.get(higher) ?? -1 }));
}
