import { SeamwrightError } from '../errors.js';
import { analyse, LdlSolver } from '../linalg/index.js';
import { buildBlockPattern } from './block-pattern.js';
import type { BorderBarrier } from './border-barrier.js';
import { stepLimit, symmetricDirichlet } from './distortion-energy.js';
import type { EnergyModel } from './energy-system.js';
import { EnergySystem } from './energy-system.js';
import type { RestTriangles } from './rest-triangles.js';

export interface DescentOptions {
  /** Most steps taken. */
  readonly iterationLimit: number;
  /** Stops when a step promises less than this share of the energy. */
  readonly tolerance: number;
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
/** Where borders press on one another the descent creeps: it ends after this many steps of less than this gain. */
const IDLE_STEPS = 3;
const IDLE_GAIN = 1e-5;
/** Share of the way to the first lost triangle that a step may go. */
const STEP_SHARE = 0.9;

/**
 * Lowers the symmetric Dirichlet energy from a start without flips; no step can flip a triangle. The border
 * is free and the result fixed up to a rigid motion. With a barrier, from a start that does not overlap,
 * no step can make the border cross itself either.
 */
export function descend(
  rest: RestTriangles,
  start: Float64Array,
  options: DescentOptions,
  barrier?: BorderBarrier,
): DescentResult {
  const stepper = new Stepper(rest, barrier);
  const uvs = start.slice();
  const trial = new Float64Array(uvs.length);
  let energy = symmetricDirichlet(rest, uvs);
  let model: EnergyModel = energy > REWEIGHTED_ABOVE ? 'reweighted' : 'newton';
  let residual = Infinity;
  let iterations = 0;
  let idleSteps = 0;
  while (iterations < options.iterationLimit) {
    barrier?.activate(uvs);
    const total = energy + (barrier?.energy(uvs) ?? 0);
    const direction = stepper.solve(uvs, model);
    if (!direction) break;
    const slope = dot(stepper.gradient, direction);
    residual = -slope / (2 * total);
    if (!(residual > options.tolerance)) break;
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
      nextTotal = next + (barrier?.energy(trial) ?? 0);
      if (nextTotal <= total + 1e-4 * step * slope) break;
    }
    if (!(nextTotal < total)) break;
    if ((globalThis as any).TRACE) console.log(iterations, model, energy.toFixed(6), total.toFixed(6), 'step', step.toExponential(2), 'res', residual.toExponential(2), 'pairs', (barrier?.triples.length ?? 0)/3);
    const gain = (total - nextTotal) / total;
    uvs.set(trial);
    energy = next;
    if (model === 'reweighted' && gain < REWEIGHTED_GAIN) model = 'newton';
    idleSteps = gain < IDLE_GAIN ? idleSteps + 1 : 0;
    if (idleSteps === IDLE_STEPS) break;
  }
  const isConverged = residual <= options.tolerance || idleSteps === IDLE_STEPS;
  return { uvs, energy, iterations, isConverged, residual };
}

/** Assembles and solves one step; the pattern is analysed anew only when the barrier joins other vertices. */
class Stepper {
  readonly #rest: RestTriangles;
  readonly #barrier: BorderBarrier | undefined;
  #system: EnergySystem;
  #solver: LdlSolver;
  /** Place of each pair of the pattern by its vertex, side start and side end. */
  #slots = new Map<string, number>();

  constructor(rest: RestTriangles, barrier: BorderBarrier | undefined) {
    this.#rest = rest;
    this.#barrier = barrier;
    this.#system = new EnergySystem(rest, buildBlockPattern(rest));
    this.#solver = new LdlSolver(analyse(this.#system.matrix, { groups: this.#system.groups }));
  }

  get gradient(): Float64Array {
    return this.#system.gradient;
  }

  solve(uvs: Float64Array, model: EnergyModel): Float64Array | undefined {
    const barrier = this.#barrier;
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
    return solveStep(this.#system, this.#solver);
  }

  #extend(triples: Int32Array): void {
    this.#slots = new Map(Array.from({ length: triples.length / 3 }, (_, k) => [tripleKey(triples, k), k]));
    this.#system = new EnergySystem(this.#rest, buildBlockPattern(this.#rest, triples));
    this.#solver = new LdlSolver(analyse(this.#system.matrix, { groups: this.#system.groups }));
  }
}

const tripleKey = (triples: Int32Array, k: number) =>
  `${triples[3 * k]},${triples[3 * k + 1]},${triples[3 * k + 2]}`;

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
