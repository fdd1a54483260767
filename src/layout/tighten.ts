import { findContacts } from './find-contacts.js';
import { maximise, ProgramRows } from './linear-program.js';
import { OutlineSet } from './outline-set.js';
import type { Margins } from './pack-rows.js';
import type { Packing, Piece, Placement } from './piece.js';

export interface TightenOptions {
  readonly canTurn: boolean;
  readonly steps: number;
  readonly maxScale: number;
  /** How far a border may move in the first step, in units of the square's side. */
  readonly trust: number;
}

const LEAST_TRUST = 2e-5;
const RESTORING_STEPS = 3;
const RESTORING_TRUST = 2e-4;

/**
 * Grows the common scale of a packing while all pieces slide and turn out of one another's way, until it
 * is locked. Each step linearises the gutters (Li & Milenkovic 1995, compaction by linear programming);
 * the result is checked exactly and shrunk where the linearisation went too far.
 */
export function tighten(
  pieces: readonly Piece[],
  start: Packing,
  margins: Margins,
  options: TightenOptions,
): Packing | undefined {
  const set = new OutlineSet(pieces);
  // A start may break its gutters a little, but nothing may cross.
  const loose = { border: 0, gutter: 0.3 * margins.gutter };
  let current = shrinkToFit(set, start, loose, options.maxScale);
  if (!current) return undefined;
  // The program keeps a hundredth of a pixel in hand for what its linearisation leaves out.
  const inner = { border: margins.border + 5e-6, gutter: margins.gutter + 1e-5 };
  let best: Packing | undefined;
  let trust = options.trust;
  let mostMerit = -Infinity;
  for (let step = 0; step < options.steps + (best ? 0 : RESTORING_STEPS) && trust > LEAST_TRUST; step++) {
    const moved = solveStep(pieces, set, current, inner, options, trust);
    if (!moved) break;
    // Steps that break as much as they gain are too long for the linearisation.
    if (moved.merit < mostMerit + 0.1 * trust) trust *= 0.5;
    mostMerit = Math.max(mostMerit, moved.merit);
    // The last steps only make good what is still broken, and move as far as that needs.
    if (step >= options.steps - RESTORING_STEPS)
      trust = Math.min(trust, Math.max(RESTORING_TRUST, 2 * moved.worst));
    set.place(moved.packing);
    if (!set.isApart(loose.border, loose.gutter)) {
      trust *= 0.5;
      continue;
    }
    if (moved.packing.scale > (best?.scale ?? 0) && set.isApart(margins.border, margins.gutter))
      best = moved.packing;
    const gain = moved.packing.scale / current.scale - 1;
    if (gain < 0.1 * trust && moved.worst < 0.01 * margins.gutter) trust *= 0.3;
    current = moved.packing;
  }
  return best ?? shrinkToFit(set, start, margins, options.maxScale);
}

/** Largest scale up to the packing's own at which its poses keep the margins exactly. */
export function shrinkToFit(
  set: OutlineSet,
  packing: Packing,
  margins: Margins,
  maxScale: number,
): Packing | undefined {
  const { placements } = packing;
  const scale = Math.min(packing.scale, maxScale);
  const isFine = (s: number) => {
    set.place({ scale: s, placements });
    return set.isApart(margins.border, margins.gutter);
  };
  if (isFine(scale)) return { scale, placements };
  let low = scale;
  let fall = 1e-4;
  do {
    if (fall > 0.9) return undefined;
    low = scale * (1 - fall);
    fall *= 3;
  } while (!isFine(low));
  let high = scale;
  for (let k = 0; k < 12 && high - low > 1e-7 * scale; k++) {
    const middle = (low + high) / 2;
    if (isFine(middle)) low = middle;
    else high = middle;
  }
  return { scale: low, placements };
}

function solveStep(
  pieces: readonly Piece[],
  set: OutlineSet,
  current: Packing,
  { border, gutter }: Margins,
  { canTurn, maxScale }: TightenOptions,
  trust: number,
): { packing: Packing; worst: number; merit: number } | undefined {
  const { scale, placements } = current;
  set.place(current);
  const columns = new Int32Array(pieces.length).fill(-1);
  const perPiece = canTurn ? 3 : 2;
  let count = 0;
  for (let i = 0; i < pieces.length; i++) {
    if (pieces[i]!.isLocked) continue;
    columns[i] = count;
    count += perPiece;
  }
  const goal = count++;
  const elastic = count++;
  const box = new Float64Array(count).fill(trust);
  // The scale is measured by how far it moves a border half the square away.
  const perGoal = 1 / Math.max(...pieces.map((p) => (p.isLocked ? 0 : p.radius)), 1e-300);
  box[goal] = Math.min(trust, Math.max(0, (maxScale - scale) / perGoal));
  if (box[goal] === 0) box[goal] = 1e-12;
  const gain = new Float64Array(count);
  gain[goal] = 1;
  gain[elastic] = -20;
  const rows = new ProgramRows();
  rows.term(elastic, -1);
  rows.end(0);
  /** Adds factor × d(n · point) for a point of a piece; turns are measured at the piece's radius. */
  const addMotion = (piece: number, x: number, y: number, nx: number, ny: number, factor: number) => {
    const column = columns[piece]!;
    if (column < 0) return 0;
    const rx = x - placements[piece]!.x;
    const ry = y - placements[piece]!.y;
    rows.term(column, factor * nx);
    rows.term(column + 1, factor * ny);
    if (canTurn) rows.term(column + 2, (factor * (ny * rx - nx * ry)) / (scale * pieces[piece]!.radius || 1));
    return (factor * (nx * rx + ny * ry) * perGoal) / scale;
  };
  let worst = 0;
  const band = gutter + 7 * trust;
  for (const { vertex, x, y, other, nx, ny, room } of findContacts(set, band, gutter)) {
    const piece = set.vertexPieces[vertex]!;
    const grow =
      addMotion(piece, set.world[2 * vertex]!, set.world[2 * vertex + 1]!, nx, ny, -1) +
      addMotion(other, x, y, nx, ny, 1);
    rows.term(goal, grow);
    if (room < 0) rows.term(elastic, -1);
    worst = Math.max(worst, -room);
    rows.end(room);
  }
  for (let v = 0; v < set.vertexCount; v++) {
    const piece = set.vertexPieces[v]!;
    if (columns[piece]! < 0) continue;
    const x = set.world[2 * v]!;
    const y = set.world[2 * v + 1]!;
    for (let side = 0; side < 4; side++) {
      const nx = side === 0 ? 1 : side === 1 ? -1 : 0;
      const ny = side === 2 ? 1 : side === 3 ? -1 : 0;
      const room = (side === 0 ? x : side === 1 ? 1 - x : side === 2 ? y : 1 - y) - border;
      if (room > 4 * trust) continue;
      rows.term(goal, addMotion(piece, x, y, nx, ny, -1));
      if (room < 0) rows.term(elastic, -1);
      worst = Math.max(worst, -room);
      rows.end(room);
    }
  }
  box[elastic] = 2 * worst + 1e-9;
  const z = maximise(rows, box, gain);
  if (!z) return undefined;
  const next: Placement[] = placements.map((p, i) => {
    const column = columns[i]!;
    if (column < 0) return p;
    const turn = canTurn ? z[column + 2]! / (scale * pieces[i]!.radius || 1) : 0;
    return { x: p.x + z[column]!, y: p.y + z[column + 1]!, angle: p.angle + turn };
  });
  const merit = scale / perGoal + gain[elastic]! * worst;
  // The program keeps its box to within rounding only.
  const grown = Math.min(maxScale, scale + z[goal]! * perGoal);
  return { packing: { scale: grown, placements: next }, worst, merit };
}
