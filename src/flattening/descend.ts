import { SeamwrightError } from '../errors.js';
import { analyse, LdlSolver } from '../linalg/index.js';
import { buildBlockPattern } from './block-pattern.js';
import type { BorderBarrier } from './border-barrier.js';
import { stepLimit, symmetricDirichlet } from './distortion-energy.js';
import type { EnergyModel } from './energy-system.js';
import { EnergySystem } from './energy-system.js';
import { symmetriseField } from './mirror-map.js';
import type { RestTriangles } from './rest-triangles.js';

export interface DescentOptions {
  /** Most steps taken. */
  readonly iterationLimit: number;
  /** Stops when a step promises less than this share of the energy. */
  readonly tolerance: number;
}

/** What the descent keeps to besides lowering the energy. */
export interface DescentFrame {
  /** Keeps the border from crossing itself. */
  readonly barrier?: BorderBarrier | undefined;
  /** Mirror partner of each vertex: the map stays its own mirror image in u = 0. */
  readonly mirrorPartners?: Int32Array | undefined;
  /** 1 for unknowns (2v for u, 2v + 1 for v) that stay as they are. */
  readonly isFixed?: Uint8Array | undefined;
  /** Pulls unknowns towards targets. */
  readonly springs?: Springs | undefined;
}

/** Energy stiffness/2 · Σ (unknown − target)². */
export interface Springs {
  readonly unknowns: Int32Array;
  readonly stiffness: number;
  /** The targets at the present map. */
  readonly targetsAt: (uvs: Float64Array) => Float64Array;
}

export interface DescentResult {
  readonly uvs: Float64Array;
  readonly energy: number;
  readonly iterations: number;
  readonly isConverged: boolean;
  /** Promised decrease of the last step over the energy. */
  readonly residual: number;
}

/** Above this mean energy the reweighted model is tried first. */
const REWEIGHTED_ABOVE = 5;
/** A reweighted step that gains less than this share hands over to Newton's model. */
const REWEIGHTED_GAIN = 0.4;
/** Above this energy the models take turns whenever one gains less than the share below. */
const HARD_ABOVE = 50;
const HARD_GAIN = 0.2;
/** Where borders press on one another the descent creeps: it ends after this many steps of less than this gain. */
const IDLE_STEPS = 3;
const IDLE_GAIN = 1e-5;
/** Below this promise a step is lost in rounding. */
const LEAST_RESIDUAL = 1e-15;
/** An estimated residual ends the descent only when below the tolerance by this factor. */
const SAFETY = 100;
/** Diagonal of a fixed unknown over the greatest other. */
const FIXED_STIFFNESS = 1e9;
/** Share of the way to the first lost triangle that a step may go. */
const STEP_SHARE = 0.9;

/**
 * Lowers the symmetric Dirichlet energy from a start without flips; no step can flip a triangle. The border
 * is free and the result fixed up to a rigid motion, unless the frame says more. With a barrier, from a
 * start that does not overlap, no step can make the border cross itself either.
 */
export function descend(
  rest: RestTriangles,
  start: Float64Array,
  options: DescentOptions,
  frame: DescentFrame = {},
): DescentResult {
  const { barrier, springs } = frame;
  const stepper = new Stepper(rest, frame);
  const uvs = start.slice();
  const trial = new Float64Array(uvs.length);
  let energy = symmetricDirichlet(rest, uvs);
  let model: EnergyModel = energy > REWEIGHTED_ABOVE ? 'reweighted' : 'newton';
  let residual = Infinity;
  let iterations = 0;
  let idleSteps = 0;
  while (iterations < options.iterationLimit) {
    barrier?.activate(uvs);
    const targets = springs?.targetsAt(uvs);
    const extraEnergy = (at: Float64Array) =>
      (barrier?.energy(at) ?? 0) + (springs && targets ? springEnergy(springs, targets, at) : 0);
    const total = energy + extraEnergy(uvs);
    const direction = stepper.solve(uvs, model, targets);
    if (!direction) break;
    const slope = dot(stepper.gradient, direction);
    residual = -slope / (2 * total);
    // The last step is solved for already: taking it squares what is left.
    const isLast = residual <= options.tolerance;
    if (!(residual > LEAST_RESIDUAL)) break;
    iterations++;
    let step = Math.min(1, STEP_SHARE * stepLimit(rest, uvs, direction));
    if (barrier) {
      const contact = barrier.limitStep(uvs, direction, step);
      if (contact < step) step = STEP_SHARE * contact;
    }
    let next = Infinity;
    let nextTotal = Infinity;
    for (; step > 1e-12; step /= 2) {
      for (let i = 0; i < uvs.length; i++) trial[i] = uvs[i]! + step * direction[i]!;
      next = symmetricDirichlet(rest, trial);
      nextTotal = next + extraEnergy(trial);
      if (nextTotal <= total + 1e-4 * step * slope) break;
    }
    if (!(nextTotal < total)) break;
    const gain = (total - nextTotal) / total;
    uvs.set(trial);
    energy = next;
    if (isLast) break;
    if (energy > HARD_ABOVE) {
      if (gain < HARD_GAIN) model = model === 'newton' ? 'reweighted' : 'newton';
    } else if (model === 'reweighted' && gain < REWEIGHTED_GAIN) model = 'newton';
    else if (step === 1) {
      // Newton's next residual is about the square of how far this step's gain missed the promise.
      const miss = gain / residual - 1;
      residual *= miss * miss;
      if (residual * SAFETY <= options.tolerance) break;
    }
    idleSteps = gain < IDLE_GAIN ? idleSteps + 1 : 0;
    if (idleSteps === IDLE_STEPS) break;
  }
  const isConverged = residual <= options.tolerance || idleSteps === IDLE_STEPS;
  return { uvs, energy, iterations, isConverged, residual };
}

function springEnergy(springs: Springs, targets: Float64Array, uvs: Float64Array): number {
  let sum = 0;
  springs.unknowns.forEach((unknown, i) => {
    sum += (uvs[unknown]! - targets[i]!) ** 2;
  });
  return (sum * springs.stiffness) / 2;
}

/** Assembles and solves one step; the pattern is analysed anew only when the barrier joins other vertices. */
class Stepper {
  readonly #rest: RestTriangles;
  readonly #frame: DescentFrame;
  #system: EnergySystem;
  #solver: LdlSolver;
  /** Place of each pair of the pattern by its vertex, side start and side end. */
  #slots = new Map<string, number>();

  constructor(rest: RestTriangles, frame: DescentFrame) {
    this.#rest = rest;
    this.#frame = frame;
    this.#system = new EnergySystem(rest, buildBlockPattern(rest));
    this.#solver = new LdlSolver(analyse(this.#system.matrix, { groups: this.#system.groups }));
  }

  get gradient(): Float64Array {
    return this.#system.gradient;
  }

  solve(uvs: Float64Array, model: EnergyModel, targets?: Float64Array): Float64Array | undefined {
    const { barrier, springs, isFixed, mirrorPartners } = this.#frame;
    const pressed: number[] = [];
    if (barrier) {
      for (let k = 0; k < barrier.triples.length / 3; k++) if (barrier.isPressed(uvs, k)) pressed.push(k);
      if (pressed.some((k) => !this.#slots.has(tripleKey(barrier.triples, k)))) this.#extend(barrier.triples);
    }
    this.#system.assemble(uvs, model);
    const gradient = new Float64Array(6);
    const dense = new Float64Array(36);
    for (const k of pressed) {
      barrier!.differentiate(uvs, k, gradient, dense);
      this.#system.addTriple(this.#slots.get(tripleKey(barrier!.triples, k))!, gradient, dense);
    }
    if (springs && targets) addSprings(this.#system, springs, targets, uvs);
    if (isFixed) holdFixed(this.#system, isFixed);
    const direction = solveStep(this.#system, this.#solver);
    if (direction && isFixed) for (let i = 0; i < direction.length; i++) if (isFixed[i]) direction[i] = 0;
    if (direction && mirrorPartners) symmetriseField(direction, mirrorPartners);
    return direction;
  }

  #extend(triples: Int32Array): void {
    this.#slots = new Map(Array.from({ length: triples.length / 3 }, (_, k) => [tripleKey(triples, k), k]));
    this.#system = new EnergySystem(this.#rest, buildBlockPattern(this.#rest, triples));
    this.#solver = new LdlSolver(analyse(this.#system.matrix, { groups: this.#system.groups }));
  }
}

const tripleKey = (triples: Int32Array, k: number) =>
  `${triples[3 * k]},${triples[3 * k + 1]},${triples[3 * k + 2]}`;

function addSprings(
  { matrix, gradient }: EnergySystem,
  springs: Springs,
  targets: Float64Array,
  uvs: Float64Array,
): void {
  springs.unknowns.forEach((unknown, i) => {
    gradient[unknown]! += springs.stiffness * (uvs[unknown]! - targets[i]!);
    matrix.values[matrix.columnOffsets[unknown]!]! += springs.stiffness;
  });
}

/** Without a pull and with a stiff diagonal an unknown stays where it is, and the pattern as it was. */
function holdFixed({ matrix, gradient }: EnergySystem, isFixed: Uint8Array): void {
  let stiffest = 0;
  for (let j = 0; j < matrix.size; j++)
    stiffest = Math.max(stiffest, matrix.values[matrix.columnOffsets[j]!]!);
  for (let j = 0; j < matrix.size; j++) {
    if (!isFixed[j]) continue;
    gradient[j] = 0;
    matrix.values[matrix.columnOffsets[j]!] = stiffest * FIXED_STIFFNESS;
  }
}

/** Solves for the step; a matrix that rounding made singular is stiffened until it is not. */
function solveStep(system: EnergySystem, solver: LdlSolver): Float64Array | undefined {
  const { matrix, gradient } = system;
  const { columnOffsets, values } = matrix;
  let added = 0;
  for (let shift = 1e-9; shift < 1; shift *= 100) {
    // The energy does not feel rigid motions: the shift decides them.
    for (let j = 0; j < matrix.size; j++) values[columnOffsets[j]!]! *= (1 + shift) / (1 + added);
    added = shift;
    try {
      solver.factor(values);
      const direction = solver.solve(gradient);
      for (let i = 0; i < direction.length; i++) direction[i] = -direction[i]!;
      if (dot(direction, gradient) <= 0) return direction;
    } catch (error) {
      if (!(error instanceof SeamwrightError)) throw error;
    }
  }
  return undefined;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
