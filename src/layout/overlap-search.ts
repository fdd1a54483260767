import { SUM } from './half-overlap.js';
import type { LayoutRotation } from './layout-options.js';
import type { OverlapModel, Pose } from './overlap-model.js';
import { RandomSource } from './random-source.js';
import { PoseRelaxer } from './relax-poses.js';

/** Random poses weighed before a piece is moved. */
const SAMPLES = 60;
/** Every so many samples of the border stand for all when they are weighed. */
const THINNING = 3;
/** The best of them that go downhill from there. */
const TRIALS = 2;
/** Passes without progress before a strike, and strikes before giving up. */
const PATIENCE = 12;
const STRIKES = 2;
const QUARTER = Math.PI / 2;

/**
 * Moves overlapping pieces until none overlap: all together downhill, then one at a time to where it costs
 * least, with weights that grow on pairs that keep overlapping (guided local search, Egeblad et al. 2007).
 */
export class OverlapSearch {
  readonly model: OverlapModel;
  /** Source of the random choices. */
  random = new RandomSource(1);
  readonly #rotation: LayoutRotation;
  /** Turns that set a piece straight against the square's sides. */
  readonly #straight: readonly number[];
  readonly #all: Int32Array;
  readonly #relaxer: PoseRelaxer;

  constructor(model: OverlapModel, rotation: LayoutRotation, straight: readonly number[]) {
    this.model = model;
    this.#rotation = rotation;
    this.#straight = straight;
    this.#relaxer = new PoseRelaxer(model, rotation === 'free');
    this.#all = Int32Array.from({ length: model.count }, (_, i) => i);
  }

  poses(): Pose[] {
    return Array.from(this.#all, (i) => this.model.pose(i));
  }

  setPoses(poses: readonly Pose[]): void {
    poses.forEach((pose, i) => {
      this.model.setPose(i, pose);
    });
  }

  /** Sets the square's side and moves all pieces along with it. */
  setSide(side: number): void {
    const { model } = this;
    const factor = model.side > 0 ? side / model.side : 1;
    model.side = side;
    for (const i of this.#all) {
      const { x, y, angle } = model.pose(i);
      model.setPose(i, { x: x * factor, y: y * factor, angle });
    }
  }

  /** Puts every piece at a random place; false when one is too large for the square. */
  scatter(): boolean {
    for (const i of this.#all) {
      const pose = this.#randomPose(i);
      if (!pose) return false;
      this.model.setPose(i, pose);
    }
    return true;
  }

  #randomAngle(i: number): number {
    const { random } = this;
    if (this.#rotation === 'none') return 0;
    const quarter = QUARTER * random.below(4);
    if (this.#rotation === 'quarter') return quarter;
    const kind = random.below(4);
    if (kind < 2) return 2 * Math.PI * random.next();
    return quarter + (kind === 2 ? this.#straight[i]! : this.model.angles[i]!);
  }

  #randomPose(i: number): Pose | undefined {
    const { random } = this;
    for (let tries = 0; tries < 64; tries++) {
      const angle = this.#randomAngle(i);
      const box = this.model.centreBox(i, angle);
      if (!box) continue;
      const x = box[0] + random.next() * (box[1] - box[0]);
      const y = box[2] + random.next() * (box[3] - box[2]);
      return { x, y, angle };
    }
    return undefined;
  }

  /** Removes overlaps; whether nothing is missing by more than the tolerance, in cells, at the end. */
  separate(maxPasses: number, tolerance: number, until = Infinity): boolean {
    const { model, random } = this;
    const n = model.count;
    const w = model.weights;
    w.fill(1);
    const gaps = new Float64Array(n * n);
    let least = Infinity;
    let leastPoses = this.poses();
    let sinceLeast = 0;
    let strikes = 0;
    for (let pass = 0; pass < maxPasses && model.workCount < until; pass++) {
      this.#relaxer.relax(this.#all, 12);
      const isBad = new Uint8Array(n);
      const { worst, total } = this.#measure(gaps, isBad);
      if (worst <= tolerance) return true;
      sinceLeast = total < 0.98 * least ? 0 : sinceLeast + 1;
      if (total < least) {
        least = total;
        leastPoses = this.poses();
      }
      if (sinceLeast > PATIENCE) {
        if (++strikes > STRIKES) return false;
        sinceLeast = 0;
        this.setPoses(leastPoses);
        continue;
      }
      for (let i = 0; i < n; i++) {
        for (let j = i; j < n; j++) {
          const gap = gaps[i * n + j]!;
          const factor = gap > 0 ? 1.2 + 0.8 * (gap / worst) : 0.95;
          w[i * n + j] = w[j * n + i] = Math.max(1, w[i * n + j]! * factor);
        }
      }
      const order = [...this.#all].filter((i) => isBad[i]);
      for (let k = order.length - 1; k > 0; k--) {
        const r = random.below(k + 1);
        [order[k], order[r]] = [order[r]!, order[k]!];
      }
      for (const i of order) this.#moveBest(i);
    }
    return false;
  }

  /** The worst gap of every pair, in cells, the worst of all, and the sum. */
  #measure(gaps: Float64Array, isBad: Uint8Array): { worst: number; total: number } {
    const { model } = this;
    const n = model.count;
    let worst = 0;
    let total = 0;
    for (let i = 0; i < n; i++) {
      for (let j = i; j < n; j++) {
        const at = i === j ? model.findBorderSums(i) : model.findPairSums(i, j);
        const gap = model.sums[at + SUM.worst]!;
        gaps[i * n + j] = gap;
        if (gap > 0) isBad[i] = isBad[j] = 1;
        worst = Math.max(worst, gap);
        total += gap;
      }
    }
    return { worst, total };
  }

  #moveBest(i: number): void {
    const { model } = this;
    const members = [i];
    this.#relaxer.relax(members, 8);
    let best = model.pose(i);
    let bestCost = model.cost(i, best);
    if (bestCost === 0) return;
    const trials: { pose: Pose; cost: number }[] = [];
    for (let k = 0; k < SAMPLES; k++) {
      const pose = this.#randomPose(i);
      if (!pose) continue;
      const limit = trials.length < TRIALS ? Infinity : trials[TRIALS - 1]!.cost;
      const cost = model.cost(i, pose, limit, THINNING);
      if (!(cost < limit)) continue;
      trials.push({ pose, cost });
      trials.sort((a, b) => a.cost - b.cost);
      if (trials.length > TRIALS) trials.pop();
    }
    for (const { pose } of trials) {
      model.setPose(i, pose);
      this.#relaxer.relax(members, 8);
      const relaxed = model.pose(i);
      const cost = model.cost(i, relaxed, bestCost);
      if (cost < bestCost) {
        bestCost = cost;
        best = relaxed;
      }
    }
    model.setPose(i, best);
  }
}
