import type { BorderBarrier } from './border-barrier.js';
import { DescentStepper } from './descent-stepper.js';
import { stepLimit, symmetricDirichlet } from './distortion-energy.js';
import type { EnergyModel } from './energy-hessian.js';
import type { RestTriangles } from './rest-triangles.js';

export interface DescentOptions {
  /** Most steps taken. */
  readonly iterationLimit: number;
  /** Stops when a step promises less than this share of the energy above that of an isometry. */
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
/**
 * Where borders press on one another the descent creeps: it ends after this many steps in a row that gain less
 * than the tolerance, or than the share below of a great energy.
 */
const IDLE_STEPS = 3;
const HARD_IDLE_GAIN = 1e-5;
/** Energy above 4 that counts as none. */
const LEAST_EXCESS = 1e-9;
/** Below this promise a step is lost in rounding. */
const LEAST_RESIDUAL = 1e-15;
/** The matrix serves for another step, at a small part of the cost, as long as each promises less than this share of the one before. */
const REUSE_SHARE = 0.3;
/** Share of the tolerance that a promise of an old matrix has to stay below. */
const REUSED_TRUST = 0.1;
/** A full step whose gain shows less curvature than this share of the model's is lengthened. */
const LOW_CURVATURE = 0.7;
/** Least curvature believed. */
const LEAST_CURVATURE = 0.1;
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
  const stepper = new DescentStepper(rest, frame);
  const uvs = start.slice();
  let energy = symmetricDirichlet(rest, uvs);
  let model: EnergyModel = energy > REWEIGHTED_ABOVE ? 'reweighted' : 'newton';
  let residual = Infinity;
  let iterations = 0;
  let idleSteps = 0;
  let isConverged = false;
  let canReuse = false;
  while (!isConverged && iterations < options.iterationLimit) {
    barrier?.activate(uvs);
    const targets = springs?.targetsAt(uvs);
    const extraEnergy = (at: Float64Array) =>
      (barrier?.energy(at) ?? 0) + (springs && targets ? springEnergy(springs, targets, at) : 0);
    const total = energy + extraEnergy(uvs);
    const promise = (along: Float64Array) => -dot(stepper.gradient, along) / (2 * total);
    let direction = canReuse ? stepper.solveAgain(uvs) : undefined;
    const isReused = direction !== undefined && promise(direction) < REUSE_SHARE * residual;
    if (!isReused) direction = stepper.solve(uvs, model, targets);
    if (!direction) break;
    residual = promise(direction);
    const tolerance = (options.tolerance * Math.max(total - 4, LEAST_EXCESS)) / total;
    if (!(residual > LEAST_RESIDUAL)) {
      isConverged = true;
      break;
    }
    iterations++;
    const slope = -2 * total * residual;
    const taken = searchAlong(rest, uvs, direction, { barrier, total, slope, extraEnergy });
    if (!taken) break;
    const gain = (total - taken.total) / total;
    uvs.set(taken.uvs);
    energy = taken.energy;
    canReuse = model === 'newton' && taken.step >= 1 && !springs;
    if (energy > HARD_ABOVE) {
      if (gain < HARD_GAIN) model = model === 'newton' ? 'reweighted' : 'newton';
    } else if (model === 'reweighted' && gain < REWEIGHTED_GAIN) model = 'newton';
    idleSteps = gain < (energy > HARD_ABOVE ? HARD_IDLE_GAIN : tolerance) ? idleSteps + 1 : 0;
    // The last step was solved for already: taking it squares what is left.
    const isLast = residual <= (isReused ? REUSED_TRUST : 1) * tolerance && gain <= 2 * tolerance;
    isConverged = isLast || idleSteps === IDLE_STEPS;
  }
  return { uvs, energy, iterations, isConverged, residual };
}

interface Line {
  readonly barrier: BorderBarrier | undefined;
  /** Energy at the start and its derivative along the direction. */
  readonly total: number;
  readonly slope: number;
  readonly extraEnergy: (uvs: Float64Array) => number;
}

interface Taken {
  readonly uvs: Float64Array;
  readonly energy: number;
  readonly total: number;
  readonly step: number;
}

/** Goes along the direction until the energy is low enough, short of flips and contacts; undefined when it never is. */
function searchAlong(
  rest: RestTriangles,
  uvs: Float64Array,
  direction: Float64Array,
  { barrier, total, slope, extraEnergy }: Line,
): Taken | undefined {
  const reach = STEP_SHARE * stepLimit(rest, uvs, direction);
  const limit = (step: number) => {
    const contact = barrier ? barrier.limitStep(uvs, direction, step) : step;
    return contact < step ? STEP_SHARE * contact : step;
  };
  const take = (step: number): Taken => {
    const to = new Float64Array(uvs.length);
    for (let i = 0; i < uvs.length; i++) to[i] = uvs[i]! + step * direction[i]!;
    const energy = symmetricDirichlet(rest, to);
    return { uvs: to, energy, total: energy + extraEnergy(to), step };
  };
  let step = limit(Math.min(1, reach));
  let taken = take(step);
  while (!(taken.total <= total + 1e-4 * step * slope)) {
    step /= 2;
    if (step < 1e-12) return undefined;
    taken = take(step);
  }
  if (!(taken.total < total)) return undefined;
  // The model may be stiffer than the energy, which shows in the gain: then go as far as the energy says.
  const curvature = 2 * (1 - (taken.total - total) / slope);
  if (step < 1 || curvature > LOW_CURVATURE) return taken;
  const longer = limit(Math.min(reach, 1 / Math.max(curvature, LEAST_CURVATURE)));
  if (longer <= 1) return taken;
  const further = take(longer);
  return further.total < taken.total ? further : taken;
}

function springEnergy(springs: Springs, targets: Float64Array, uvs: Float64Array): number {
  let sum = 0;
  springs.unknowns.forEach((unknown, i) => {
    sum += (uvs[unknown]! - targets[i]!) ** 2;
  });
  return (sum * springs.stiffness) / 2;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
