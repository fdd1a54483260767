import type { Curvature } from '../fields/index.js';
import type { FaceId, Mesh } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';

/** What tells hard surfaces from grown ones. */
export interface PanelInputs {
  readonly edgeDihedrals: Curvature['edgeDihedrals'];
  readonly edgeLengths: Float64Array;
  readonly faceAreas: Float64Array;
}

/** An edge folded by more than this is a crease, radians (30°). */
const CREASE = Math.PI / 6;
/** Folds sharper than this count as edges of a made thing, radians (40°); flatter than the other as smooth (8°). */
const SHARP = (40 * Math.PI) / 180;
const FLAT = (8 * Math.PI) / 180;
/** Panels below this share of the shell go to a neighbour. */
const SMALLEST_PANEL = 0.004;

/** Whether a shell looks made rather than grown: mostly flat, with what turning there is gathered in sharp edges. */
export function isHardSurface(
  mesh: Mesh,
  faces: Int32Array,
  { edgeDihedrals, edgeLengths }: PanelInputs,
): boolean {
  let turning = 0;
  let sharp = 0;
  let length = 0;
  let flat = 0;
  forInnerEdges(mesh, faces, (e) => {
    const fold = Math.abs(edgeDihedrals[e]!);
    const size = edgeLengths[e]!;
    turning += fold * size;
    length += size;
    if (fold > SHARP) sharp += fold * size;
    if (fold < FLAT) flat += size;
  });
  if (!(turning > 0)) return false;
  const sharpShare = sharp / turning;
  const flatShare = flat / length;
  return (flatShare >= 0.5 && sharpShare >= 0.55) || (flatShare >= 0.45 && sharpShare >= 0.8);
}

/**
 * Parts a hard surface along its creases into panels that bend smoothly, so each is flat, rolled or nearly so.
 * Crumbs join the neighbour they are folded from least.
 *
 * @returns panel of each of the faces, 0..count-1, largest first
 */
export function findPanels(
  mesh: Mesh,
  faces: Int32Array,
  { edgeDihedrals, edgeLengths, faceAreas }: PanelInputs,
): { panels: Int32Array; count: number } {
  const local = new Map<FaceId, number>();
  faces.forEach((f, i) => {
    local.set(f, i);
  });
  const sets = new DisjointSet(faces.length);
  const links: { a: number; b: number; fold: number; length: number }[] = [];
  forInnerEdges(mesh, faces, (e, f, g) => {
    const a = local.get(f)!;
    const b = local.get(g)!;
    const fold = Math.abs(edgeDihedrals[e]!);
    if (fold < CREASE) sets.union(a, b);
    else links.push({ a, b, fold, length: edgeLengths[e]! });
  });
  let total = 0;
  for (const f of faces) total += faceAreas[f]!;
  mergeCrumbs(faces, faceAreas, sets, links, SMALLEST_PANEL * total);
  const { labels, count } = sets.labels();
  const areas = new Float64Array(count);
  faces.forEach((f, i) => {
    areas[labels[i]!]! += faceAreas[f]!;
  });
  const order = Array.from({ length: count }, (_, i) => i).sort((i, j) => areas[j]! - areas[i]! || i - j);
  const names = new Int32Array(count);
  order.forEach((label, rank) => {
    names[label] = rank;
  });
  return { panels: labels.map((label) => names[label]!), count };
}

function mergeCrumbs(
  faces: Int32Array,
  faceAreas: Float64Array,
  sets: DisjointSet,
  links: readonly { a: number; b: number; fold: number; length: number }[],
  least: number,
): void {
  for (;;) {
    const areas = new Map<number, number>();
    faces.forEach((f, i) => {
      const set = sets.find(i);
      areas.set(set, (areas.get(set) ?? 0) + faceAreas[f]!);
    });
    // Length of common outline, weighing gentle folds more.
    const ties = new Map<number, Map<number, number>>();
    for (const { a, b, fold, length } of links) {
      const p = sets.find(a);
      const q = sets.find(b);
      if (p === q) continue;
      for (const [from, to] of [
        [p, q],
        [q, p],
      ] as const) {
        if (areas.get(from)! >= least) continue;
        const map = ties.get(from) ?? new Map<number, number>();
        map.set(to, (map.get(to) ?? 0) + length / fold);
        ties.set(from, map);
      }
    }
    let merged = false;
    for (const [crumb, map] of [...ties].sort((x, y) => areas.get(x[0])! - areas.get(y[0])! || x[0] - y[0])) {
      const best = [...map].sort((x, y) => y[1] - x[1] || x[0] - y[0])[0]!;
      merged = sets.union(crumb, best[0]) || merged;
    }
    if (!merged) return;
  }
}

function forInnerEdges(
  mesh: Mesh,
  faces: Int32Array,
  visit: (edge: number, f: FaceId, g: FaceId) => void,
): void {
  for (const f of faces)
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++) {
      const t = mesh.twin[h]!;
      if (t > h) visit(mesh.halfEdgeEdges[h]!, f, mesh.cornerFaces[t]!);
    }
}
