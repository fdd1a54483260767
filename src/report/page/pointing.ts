import { Vector3 } from 'three';
import type { MarkBook } from './mark-book.js';
import type { Aim, PageStore } from './page-state.js';
import type { Panel } from './panel.js';
import type { Stage } from './stage.js';

/** Lets pointer, wheel and keyboard turn the panels, point, and mark. */
export function connectPointing(stage: Stage, store: PageStore, book: MarkBook): void {
  for (const panel of stage.panels) connectPanel(panel, stage, store, book);
}

interface Place {
  readonly x: number;
  readonly y: number;
}

const BRUSHES = new Set(['draw-in', 'push-away', 'rub-out']);

function connectPanel(panel: Panel, stage: Stage, store: PageStore, book: MarkBook): void {
  const { window: pane } = panel;
  const held = new Map<number, Place>();
  let moved = 0;
  let isPainting = false;
  let latest: Place | undefined;
  const placeOf = (event: PointerEvent | WheelEvent): Place => {
    const { left, top } = pane.getBoundingClientRect();
    return { x: event.clientX - left, y: event.clientY - top };
  };
  const brush = (at: Place, isFirst: boolean): boolean => {
    const aim = solid(stage.pick(panel, at.x, at.y), stage, panel, at);
    if (!aim) return false;
    const { tool, brush: radius } = store.state;
    const centre = faceCentre(stage, aim.face);
    book.stroke(tool as 'rub-out', book.facesNear(centre, radius, aim.face), isFirst);
    return true;
  };
  const point = () => {
    const at = latest;
    latest = undefined;
    if (!at || held.size > 0) return;
    const aim = stage.pick(panel, at.x, at.y);
    if (!isSame(aim, store.state.aim)) store.set({ aim });
  };
  pane.addEventListener('pointerdown', (event) => {
    pane.setPointerCapture(event.pointerId);
    held.set(event.pointerId, placeOf(event));
    moved = 0;
    // A second finger never paints: it pinches.
    isPainting =
      held.size === 1 && event.button === 0 && BRUSHES.has(store.state.tool) && brush(placeOf(event), true);
  });
  pane.addEventListener('pointermove', (event) => {
    const at = placeOf(event);
    const from = held.get(event.pointerId);
    if (!from) {
      if (!latest) requestAnimationFrame(point);
      latest = at;
      return;
    }
    moved += Math.hypot(at.x - from.x, at.y - from.y);
    if (isPainting) brush(at, false);
    else if (held.size === 1) panel.drag(at.x - from.x, at.y - from.y, event.shiftKey || event.buttons > 1);
    else pinch(panel, held, event.pointerId, at);
    held.set(event.pointerId, at);
    if (!isPainting) stage.ask();
  });
  const release = (event: PointerEvent) => {
    if (!held.delete(event.pointerId)) return;
    if (event.type === 'pointerup' && moved < 5 && !isPainting && event.button === 0) {
      const at = placeOf(event);
      act(at);
    }
    isPainting = false;
  };
  const act = (at: Place) => {
    const aim = stage.pick(panel, at.x, at.y);
    store.set({ aim });
    mark(panel, stage, store, book, aim, at);
  };
  pane.addEventListener('pointerup', release);
  pane.addEventListener('pointercancel', release);
  pane.addEventListener('pointerleave', () => {
    latest = undefined;
    // What the keyboard points at, here or in a list, stays lit.
    const isKept = document.activeElement === pane || document.activeElement?.closest('.list');
    if (held.size === 0 && !isKept) store.set({ aim: undefined });
  });
  pane.addEventListener(
    'wheel',
    (event) => {
      event.preventDefault();
      panel.zoom(
        Math.exp(Math.sign(event.deltaY) * Math.min(0.25, Math.abs(event.deltaY) / 500)),
        placeOf(event),
      );
      stage.ask();
    },
    { passive: false },
  );
  pane.addEventListener('dblclick', () => {
    if (store.state.tool !== 'look') return;
    panel.home();
    stage.ask();
  });
  pane.addEventListener('keydown', (event) => {
    const middle = () => ({ x: pane.clientWidth / 2, y: pane.clientHeight / 2 });
    if (event.key === 'Enter' || event.key === ' ') {
      const at = middle();
      if (!BRUSHES.has(store.state.tool)) act(at);
      else brush(at, true);
    } else if (!moveByKey(panel, event)) return;
    event.preventDefault();
    stage.ask();
    const at = middle();
    store.set({ aim: stage.pick(panel, at.x, at.y, true) });
  });
}

/** What a click with the chosen tool does. */
function mark(
  panel: Panel,
  stage: Stage,
  store: PageStore,
  book: MarkBook,
  aim: Aim | undefined,
  at: Place,
): void {
  const { tool, isWholeLoop } = store.state;
  if (tool === 'look' || BRUSHES.has(tool)) return;
  const found = solid(aim, stage, panel, at);
  if (!found) return;
  const corner = nearestCorner(stage, panel, found, at, tool === 'keep' || tool === 'avoid');
  if (tool === 'keep' || tool === 'avoid') book.markEdge(tool, corner, isWholeLoop);
  else book.markPoint(tool === 'pin' ? 'pins' : 'waypoints', stage.mesh.cornerPoints[corner]!);
}

/** The corner of a face, or of a seam's faces, whose point or edge is nearest to a place in the window. */
function nearestCorner(
  stage: Stage,
  panel: Panel,
  { face, corners }: { face: number; corners?: readonly number[] },
  at: Place,
  isEdge: boolean,
): number {
  const { mesh } = stage;
  const candidates =
    corners ??
    Array.from(
      { length: mesh.faceOffsets[face + 1]! - mesh.faceOffsets[face]! },
      (_, i) => mesh.faceOffsets[face]! + i,
    );
  let best = candidates[0]!;
  let least = Infinity;
  for (const corner of candidates) {
    const a = stage.locate(panel, corner);
    let distance = Math.hypot(a.x - at.x, a.y - at.y);
    if (isEdge) {
      const b = stage.locate(panel, mesh.nextCorner(corner));
      const [x, y] = [b.x - a.x, b.y - a.y];
      const t = Math.min(1, Math.max(0, ((at.x - a.x) * x + (at.y - a.y) * y) / (x * x + y * y || 1)));
      distance = Math.hypot(a.x + t * x - at.x, a.y + t * y - at.y);
    }
    if (distance < least) [least, best] = [distance, corner];
  }
  return best;
}

/** A face under a place; a seam stands for its nearest face. */
function solid(
  aim: Aim | undefined,
  stage: Stage,
  panel: Panel,
  at: Place,
): { face: number; corners?: readonly number[] } | undefined {
  if (!aim) return undefined;
  if (aim.face >= 0) return { face: aim.face };
  const { corners } = stage.drawn(aim.set).set.seams[aim.seam]!;
  const corner = nearestCorner(stage, panel, { face: -1, corners }, at, true);
  return { face: stage.mesh.cornerFaces[corner]! };
}

function faceCentre({ mesh }: Stage, face: number): Vector3 {
  const centre = new Vector3();
  const [first, end] = [mesh.faceOffsets[face]!, mesh.faceOffsets[face + 1]!];
  for (let c = first; c < end; c++)
    centre.add(new Vector3().fromArray(mesh.positions, 3 * mesh.cornerPoints[c]!));
  return centre.divideScalar(end - first);
}

function pinch(panel: Panel, held: ReadonlyMap<number, Place>, moving: number, at: Place): void {
  const other = [...held].find(([id]) => id !== moving)![1];
  const from = held.get(moving)!;
  const before = Math.hypot(from.x - other.x, from.y - other.y) || 1;
  const after = Math.hypot(at.x - other.x, at.y - other.y) || 1;
  panel.zoom(before / after, { x: (from.x + other.x) / 2, y: (from.y + other.y) / 2 });
  panel.drag((at.x - from.x) / 2, (at.y - from.y) / 2, true);
}

const STEP = 24;

function moveByKey(panel: Panel, event: KeyboardEvent): boolean {
  const steps: Readonly<Record<string, readonly [number, number]>> = {
    ArrowLeft: [STEP, 0],
    ArrowRight: [-STEP, 0],
    ArrowUp: [0, STEP],
    ArrowDown: [0, -STEP],
  };
  const step = steps[event.key];
  if (step) panel.drag(step[0], step[1], event.shiftKey);
  else if (event.key === '+' || event.key === '=') panel.zoom(0.85);
  else if (event.key === '-') panel.zoom(1 / 0.85);
  else if (event.key === 'Home') panel.home();
  else return false;
  return true;
}

const isSame = (a: Aim | undefined, b: Aim | undefined) =>
  a === b || (a && b && a.set === b.set && a.seam === b.seam && a.chart === b.chart && a.face === b.face);
