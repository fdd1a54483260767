import type { AxisFrame } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { add, cross, dot, length, normalize, scale, subtract } from '../math/index.js';
import type { BranchTree } from './branch-tree.js';
import { listGrowths, slenderness } from './branch-tree.js';
import type { BodyView } from './find-head.js';
import { findHead, pairRoots } from './find-head.js';
import type { Pair } from './find-pairs.js';
import { areFlat, FLATTEST_LIMB, findPairs, listPaired } from './find-pairs.js';
import type { Shape } from './measure-shape.js';
import { coreCentre, measureShape } from './measure-shape.js';
import type { Digit, PartName, PartSide } from './part.js';
import { FINGER_NAMES, TOE_NAMES } from './part.js';
import type { TriangleSurface } from './triangle-surface.js';

/** What a branch is taken for. */
export interface Naming {
  name: PartName;
  side: PartSide;
  confidence: number;
  /** Branch on the other side, -1 for none. */
  partner: number;
  digit?: Digit;
  order?: number;
  /** How the limb is joined to the trunk: set in like a sleeve, parted along the groin, or square to itself. */
  joint?: 'sleeve' | 'groin' | 'square';
}

export interface ShellNaming {
  readonly core: Naming;
  readonly branches: Naming[];
}

/**
 * Names the branches of a shell by the shape of the tree, likeness of pairs, and the up and front directions.
 * Where no body is seen that way, the other ways up and round are tried, in case the directions are wrong.
 */
export function nameBranches(surface: TriangleSurface, tree: BranchTree, frame: AxisFrame): ShellNaming {
  const shapes = tree.branches.map((_, id) => measureShape(surface, tree, id));
  const middle = coreCentre(surface, tree);
  const naming = nameInFrame(tree, shapes, middle, frame);
  if (naming.core.name !== 'core' || tree.branches.filter((branch) => branch.parent < 0).length < 5)
    return naming;
  let best: ShellNaming | undefined;
  let most = 0;
  for (const other of turnedFrames(frame)) {
    const candidate = nameInFrame(tree, shapes, middle, other);
    const sum = candidate.branches.reduce(
      (total, { confidence }) => total + confidence,
      candidate.core.confidence,
    );
    if (candidate.core.name === 'core' || sum <= most + 1e-9) continue;
    most = sum;
    best = candidate;
  }
  for (const named of best ? [best.core, ...best.branches] : []) named.confidence *= GUESSED;
  return best ?? naming;
}

/** Names found with axes other than the caller's are less sure by this factor. */
const GUESSED = 0.7;

/** The 23 other right-angled turns of a frame. */
function turnedFrames({ side, up, front }: AxisFrame): AxisFrame[] {
  const axes: Vec3[] = [up, front, side].flatMap((axis) => [axis, scale(axis, -1)]);
  return axes
    .flatMap((u) =>
      axes
        .filter((f) => dot(u, f) === 0 || Math.abs(dot(u, f)) < 0.5)
        .map((f) => ({ side: cross(u, f), up: u, front: f })),
    )
    .slice(1);
}

function nameInFrame(
  { branches }: BranchTree,
  shapes: readonly Shape[],
  middle: Vec3,
  frame: AxisFrame,
): ShellNaming {
  const core: Naming = { name: 'core', side: 'centre', confidence: 0.5, partner: -1 };
  const names: Naming[] = branches.map((branch) => ({
    name: branch.isPocket ? 'pocket' : 'branch',
    side: 'centre',
    confidence: 0.3,
    partner: -1,
  }));
  const roots = branches.flatMap((branch, b) => (branch.parent < 0 && !branch.isPocket ? [b] : []));
  const body: BodyView = { branches, shapes, middle, frame };
  const pairs = pairRoots(body, roots);
  for (const { left, right } of pairs) setPair(left, right);
  const single = roots.filter((b) => names[b]!.partner < 0);
  for (const b of single) names[b]!.side = sideOf(b);

  if (!nameLoneHand()) nameBody();
  for (let b = 0; b < branches.length; b++) {
    if (names[b]!.name === 'arm') nameDigits(b, 'finger');
    if (names[b]!.name === 'leg') nameDigits(b, 'toe');
    if (names[b]!.name === 'head') nameFace(b);
  }
  return { core, branches: names };

  function setPair(left: number, right: number): void {
    names[left]!.partner = right;
    names[right]!.partner = left;
    names[left]!.side = 'left';
    names[right]!.side = 'right';
  }

  function sideOf(b: number): PartSide {
    const offset = dot(subtract(shapes[b]!.base, middle), frame.side);
    const limit = 0.5 * (branches[b]!.base.length / (2 * Math.PI));
    return Math.abs(offset) < limit ? 'centre' : offset > 0 ? 'left' : 'right';
  }

  function set(b: number, name: PartName, confidence: number): void {
    names[b]!.name = name;
    names[b]!.confidence = confidence;
  }

  function nameBody(): void {
    const head = findHead(body, single, pairs);
    if (head >= 0) {
      set(head, 'head', pairs.length > 0 ? 0.9 : 0.6);
      names[head]!.side = 'centre';
    }
    const headBase = head >= 0 ? shapes[head]!.base : add(middle, scale(frame.up, 1e3 * length(middle) + 1));
    const isWing = ({ left, right }: Pair) => head >= 0 && areFlat(shapes[left]!, shapes[right]!);
    for (const b of listPaired(pairs.filter(isWing))) set(b, 'wing', 0.7);
    // Folded or bent, one wing may be found unlike the other.
    for (const b of single)
      if (head >= 0 && b !== head && names[b]!.side !== 'centre' && shapes[b]!.roundness < FLATTEST_LIMB)
        set(b, 'wing', 0.4);
    const ordered = pairs
      .filter((pair) => !isWing(pair))
      .map(({ left, right }) => ({
        left,
        right,
        base: scale(add(shapes[left]!.base, shapes[right]!.base), 0.5),
        area: branches[left]!.area + branches[right]!.area,
      }))
      .sort((a, b) => b.area - a.area || a.left - b.left)
      .slice(0, 2)
      .sort(
        (a, b) => length(subtract(a.base, headBase)) - length(subtract(b.base, headBase)) || a.left - b.left,
      );
    const points = (pair: { left: number; right: number }) => {
      const fall = (b: number) => dot(normalize(subtract(shapes[b]!.tip, shapes[b]!.base)), frame.up);
      return (fall(pair.left) + fall(pair.right)) / 2;
    };
    const isLimb = (pair: { left: number; right: number }) =>
      head >= 0 || [pair.left, pair.right].every((b) => slenderness(branches[b]!) > 3.5);
    if (ordered.length === 2 && ordered.every(isLimb)) {
      const [fore, hind] = ordered as [(typeof ordered)[0], (typeof ordered)[0]];
      const trunk = normalize(subtract(fore.base, hind.base));
      const isLevel = Math.abs(dot(trunk, frame.up)) < 0.65;
      const standsOnFour = isLevel && points(fore) < -0.6 && points(hind) < -0.6 && digitsOf(fore.left) < 4;
      for (const b of [fore.left, fore.right]) {
        set(b, standsOnFour ? 'leg' : 'arm', head >= 0 ? 0.9 : 0.6);
        names[b]!.joint = standsOnFour ? 'square' : 'sleeve';
      }
      for (const b of [hind.left, hind.right]) {
        set(b, 'leg', head >= 0 ? 0.9 : 0.6);
        names[b]!.joint = standsOnFour ? 'square' : 'groin';
      }
      core.name = 'torso';
      core.confidence = head >= 0 ? 0.9 : 0.6;
    } else if (ordered.length > 0 && isLimb(ordered[0]!)) {
      const [only] = ordered as [(typeof ordered)[0]];
      const hasFingers = digitsOf(only.left) >= 3 || digitsOf(only.right) >= 3;
      const name = hasFingers ? 'arm' : points(only) < -0.6 ? 'leg' : 'branch';
      for (const b of [only.left, only.right]) {
        set(b, name, name === 'branch' ? 0.3 : 0.6);
        if (name !== 'branch') names[b]!.joint = name === 'arm' ? 'sleeve' : 'groin';
      }
      if (head >= 0 && name !== 'branch') {
        core.name = 'torso';
        core.confidence = 0.6;
      }
    }
    if (head < 0) return;
    for (const b of single) {
      if (b === head || names[b]!.side !== 'centre') continue;
      // A tail grows at the far end from the head.
      const hind = ordered.at(-1);
      const isFar = hind
        ? length(subtract(shapes[b]!.base, hind.base)) < length(subtract(shapes[b]!.base, headBase))
        : dot(subtract(shapes[b]!.base, middle), subtract(headBase, middle)) < 0;
      if (isFar && pairs.length > 0) set(b, 'tail', 0.7);
    }
  }

  function digitsOf(b: number): number {
    return listGrowths(branches, b).length;
  }

  /** A hand on its own: four or five slender branches of like girth on one half of a core. */
  function nameLoneHand(): boolean {
    if (roots.length < 4 || roots.length > 5 || roots.some((b) => digitsOf(b) > 1)) return false;
    const girths = roots.map((b) => branches[b]!.base.length).sort((a, b) => a - b);
    if (girths.at(-1)! > 2.2 * girths[0]!) return false;
    if (roots.some((b) => branches[b]!.base.level < (2.5 * branches[b]!.base.length) / (2 * Math.PI)))
      return false;
    const mean = scale(roots.map((b) => subtract(shapes[b]!.base, middle)).reduce(add), 1 / roots.length);
    const spread =
      roots.reduce((sum, b) => sum + length(subtract(shapes[b]!.base, middle)), 0) / roots.length;
    if (length(mean) < 0.5 * spread) return false;
    core.name = 'hand';
    core.confidence = 0.7;
    for (const b of roots) {
      names[b]!.partner = -1;
      names[b]!.side = core.side;
      set(b, 'finger', 0.7);
    }
    orderFingers(roots, middle);
    return true;
  }

  function nameDigits(limb: number, name: 'finger' | 'toe'): void {
    const children = listGrowths(branches, limb);
    for (const c of children) {
      names[c]!.side = names[limb]!.side;
      set(c, name, 0.8);
    }
    if (name === 'finger') orderFingers(children, shapes[limb]!.base);
    else orderToes(children, limb);
    const other = names[limb]!.partner;
    if (other < 0) return;
    for (const c of children)
      for (const d of branches[other]!.children)
        if (names[d]!.order !== undefined && names[d]!.order === names[c]!.order && names[d]!.name === name) {
          names[c]!.partner = d;
          names[d]!.partner = c;
        }
  }

  /** Thumb first: the finger whose base lies apart from the others' and nearest to the wrist. */
  function orderFingers(fingers: readonly number[], wrist: Vec3): void {
    if (fingers.length === 0) return;
    if (fingers.length === 1) {
      names[fingers[0]!]!.digit = 'thumb';
      names[fingers[0]!]!.order = 0;
      return;
    }
    const distance = (a: number, b: number) => length(subtract(shapes[a]!.base, shapes[b]!.base));
    // The two farthest apart are the row's ends; of these the thumb sits nearer to the wrist.
    let ends: [number, number] = [fingers[0]!, fingers[1]!];
    for (const a of fingers)
      for (const b of fingers) if (a < b && distance(a, b) > distance(...ends)) ends = [a, b];
    const [a, b] = ends;
    const toWrist = (f: number) => length(subtract(shapes[f]!.base, wrist));
    const first = toWrist(a) <= toWrist(b) ? a : b;
    const row = [
      first,
      ...inRow(
        fingers.filter((f) => f !== first),
        first,
      ),
    ];
    const hasThumb =
      fingers.length === 5 || distance(row[0]!, row[1]!) > 1.5 * distance(row[1]!, row[2] ?? row[1]!);
    row.forEach((f, i) => {
      names[f]!.order = hasThumb ? i : i + 1;
      if (fingers.length === 5 || (fingers.length === 4 && !hasThumb))
        names[f]!.digit = FINGER_NAMES[names[f]!.order!];
      else if (hasThumb && i === 0) names[f]!.digit = 'thumb';
    });
  }

  /** Digits sorted across their common direction, beginning at the end nearer to `from`. */
  function inRow(digits: readonly number[], from: number): number[] {
    const pointing = normalize(
      digits.map((d) => subtract(shapes[d]!.tip, shapes[d]!.base)).reduce(add, [0, 0, 0]),
    );
    const place = (d: number): Vec3 => {
      const { base } = shapes[d]!;
      return subtract(base, scale(pointing, dot(base, pointing)));
    };
    const distance = (a: number, b: number) => length(subtract(place(a), place(b)));
    let ends: [number, number] = [digits[0]!, digits[0]!];
    for (const a of digits) for (const b of digits) if (distance(a, b) > distance(...ends)) ends = [a, b];
    if (distance(ends[0], from) > distance(ends[1], from)) ends = [ends[1], ends[0]];
    const line = subtract(place(ends[1]), place(ends[0]));
    const along = (d: number) => dot(subtract(place(d), place(ends[0])), line);
    return [...digits].sort((a, b) => along(a) - along(b) || a - b);
  }

  /** Big toe first: the thicker end of the row. */
  function orderToes(toes: readonly number[], limb: number): void {
    if (toes.length < 2) return;
    const distance = (a: number, b: number) => length(subtract(shapes[a]!.base, shapes[b]!.base));
    let ends: [number, number] = [toes[0]!, toes[1]!];
    for (const a of toes)
      for (const b of toes) if (a < b && distance(a, b) > distance(...ends)) ends = [a, b];
    const [a, b] = ends;
    const first = branches[a]!.area >= branches[b]!.area ? a : b;
    const row = inRow(toes, first);
    row.forEach((t, i) => {
      names[t]!.order = i;
      if (toes.length === 5) names[t]!.digit = TOE_NAMES[i];
    });
    names[limb]!.confidence = Math.max(names[limb]!.confidence, 0.9);
  }

  function nameFace(head: number): void {
    const children = branches[head]!.children;
    const pockets = children.filter((c) => branches[c]!.isPocket);
    const outgrowths = listGrowths(branches, head);
    const pocketPairs = findPairs(branches, shapes, pockets, frame);
    for (const { left, right } of pocketPairs) {
      setPair(left, right);
      // Nostrils are much smaller than eye sockets and lie close together.
      const isSmall = branches[left]!.base.length < 0.15 * branches[head]!.base.length;
      for (const b of [left, right]) set(b, isSmall ? 'nostril' : 'socket', 0.7);
    }
    const lone = pockets.filter((b) => names[b]!.partner < 0);
    const mouth = lone.sort((a, b) => branches[b]!.area - branches[a]!.area || a - b)[0];
    if (mouth !== undefined) set(mouth, 'mouth', pocketPairs.length > 0 ? 0.8 : 0.6);
    const axis = normalize(subtract(shapes[head]!.tip, shapes[head]!.base));
    for (const { left, right } of findPairs(branches, shapes, outgrowths, frame)) {
      setPair(left, right);
      for (const b of [left, right]) {
        const direction = normalize(subtract(shapes[b]!.tip, shapes[b]!.base));
        const sideways = Math.abs(dot(direction, frame.side));
        set(b, sideways > 0.6 ? 'ear' : Math.abs(dot(direction, axis)) > 0.75 ? 'horn' : 'ear', 0.5);
      }
    }
    for (const b of outgrowths) {
      if (names[b]!.partner >= 0) continue;
      names[b]!.side = sideOf(b);
      const direction = normalize(subtract(shapes[b]!.tip, shapes[b]!.base));
      if (names[b]!.side === 'centre' && dot(direction, frame.front) > 0.6) set(b, 'snout', 0.5);
    }
  }
}
