import { SeamwrightError } from '../errors.js';
import type { SymmetricMatrix } from '../linalg/index.js';
import { analyse, LdlSolver } from '../linalg/index.js';
import type { DescentFrame, Springs } from './descend.js';
import type { EnergyModel } from './energy-hessian.js';
import { EnergySystem } from './energy-system.js';
import { MirrorFold } from './mirror-fold.js';
import type { RestTriangles } from './rest-triangles.js';

/** Diagonal of a fixed unknown over the greatest other. */
const FIXED_STIFFNESS = 1e9;
/** More pairs than this share of those that press, without entries between them in the matrix, are worth a new one. */
const APART_SHARE = 0.5;

/**
 * Assembles and solves the steps of a descent; the pattern is analysed anew only when the barrier joins other
 * vertices.
 */
export class DescentStepper {
  readonly #rest: RestTriangles;
  readonly #frame: DescentFrame;
  readonly #fold: MirrorFold;
  /** 1 for folded unknowns that stay as they are. */
  readonly #isHeld: Uint8Array;
  #system: EnergySystem;
  #solver: LdlSolver;

  constructor(rest: RestTriangles, frame: DescentFrame) {
    this.#rest = rest;
    this.#frame = frame;
    this.#fold = new MirrorFold(rest.vertexCount, frame.mirrorPartners);
    this.#isHeld = frame.isFixed ?? this.#fold.isHeld;
    this.#system = new EnergySystem(rest, this.#fold);
    this.#solver = new LdlSolver(analyse(this.#system.matrix, { groups: this.#system.groups }));
  }

  /** Of the energy at the map last solved at. */
  get gradient(): Float64Array {
    return this.#system.gradient;
  }

  /** The step to the minimum of the energy's model at `uvs`; undefined when rounding leaves none. */
  solve(uvs: Float64Array, model: EnergyModel, targets?: Float64Array): Float64Array | undefined {
    const { barrier, springs } = this.#frame;
    const pressed = this.#listPressed(uvs);
    if (barrier) {
      const apart = pressed.filter((k) => !this.#isJoined(barrier.triples, k));
      if (apart.length > APART_SHARE * pressed.length) this.#extend(barrier.listNear(uvs));
    }
    this.#system.assemble(uvs, model);
    const gradient = new Float64Array(6);
    const dense = new Float64Array(36);
    for (const k of pressed) {
      barrier!.differentiate(uvs, k, gradient, dense);
      if (!this.#isJoined(barrier!.triples, k)) splitVertex(dense);
      this.#system.addTriple(barrier!.triples.subarray(3 * k, 3 * k + 3), gradient, dense);
    }
    if (springs && targets) addSprings(this.#system, springs, targets, uvs);
    const gradientHere = this.#fold.fold(this.#system.gradient);
    holdFixed(this.#system.matrix, gradientHere, this.#isHeld);
    return this.#unfold(solveStep(this.#system.matrix, gradientHere, this.#solver));
  }

  /** The step for the gradient at `uvs` with the matrix of the last step; not with springs. */
  solveAgain(uvs: Float64Array): Float64Array {
    const { barrier } = this.#frame;
    this.#system.assembleGradient(uvs);
    const gradient = new Float64Array(6);
    const dense = new Float64Array(36);
    for (const k of this.#listPressed(uvs)) {
      barrier!.differentiate(uvs, k, gradient, dense);
      this.#system.addTripleGradient(barrier!.triples.subarray(3 * k, 3 * k + 3), gradient);
    }
    const right = this.#fold.fold(this.gradient);
    for (let i = 0; i < right.length; i++) if (this.#isHeld[i]) right[i] = 0;
    return this.#unfold(negate(this.#solver.solve(right)))!;
  }

  #listPressed(uvs: Float64Array): number[] {
    const { barrier } = this.#frame;
    const pressed: number[] = [];
    if (!barrier) return pressed;
    for (let k = 0; k < barrier.triples.length / 3; k++) if (barrier.isPressed(uvs, k)) pressed.push(k);
    return pressed;
  }

  #unfold(step: Float64Array | undefined): Float64Array | undefined {
    if (!step) return undefined;
    for (let i = 0; i < step.length; i++) if (this.#isHeld[i]) step[i] = 0;
    return this.#fold.unfold(step);
  }

  #isJoined(triples: Int32Array, k: number): boolean {
    const v = triples[3 * k]!;
    return this.#system.joins(v, triples[3 * k + 1]!) && this.#system.joins(v, triples[3 * k + 2]!);
  }

  /** Makes room in the matrix for pairs of vertices and sides. */
  #extend(triples: Int32Array): void {
    const pairs: number[] = [];
    for (let k = 0; k < triples.length; k += 3)
      for (let i = 1; i < 3; i++) pairs.push(triples[k]!, triples[k + i]!);
    this.#system = new EnergySystem(this.#rest, this.#fold, Int32Array.from(pairs));
    this.#solver = new LdlSolver(analyse(this.#system.matrix, { groups: this.#system.groups }));
  }
}

/**
 * Bounds the Hessian of a triple by one without entries between the vertex and the side: (x + y)² ≤ 2 x² + 2 y².
 */
function splitVertex(dense: Float64Array): void {
  for (let i = 0; i < 6; i++) for (let j = 0; j < 6; j++) dense[6 * i + j]! *= i < 2 === j < 2 ? 2 : 0;
}

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
function holdFixed(matrix: SymmetricMatrix, gradient: Float64Array, isHeld: Uint8Array): void {
  let stiffest = 0;
  for (let j = 0; j < matrix.size; j++)
    stiffest = Math.max(stiffest, matrix.values[matrix.columnOffsets[j]!]!);
  for (let j = 0; j < matrix.size; j++) {
    if (!isHeld[j]) continue;
    gradient[j] = 0;
    matrix.values[matrix.columnOffsets[j]!] = stiffest * FIXED_STIFFNESS;
  }
}

/** Solves for the step; a matrix that rounding made singular is stiffened until it is not. */
function solveStep(
  { size, columnOffsets, values }: SymmetricMatrix,
  gradient: Float64Array,
  solver: LdlSolver,
): Float64Array | undefined {
  let added = 0;
  for (let shift = 1e-9; shift < 1; shift *= 100) {
    // The energy does not feel rigid motions: the shift decides them.
    for (let j = 0; j < size; j++) values[columnOffsets[j]!]! *= (1 + shift) / (1 + added);
    added = shift;
    try {
      solver.factor(values);
      const direction = negate(solver.solve(gradient));
      if (isDescent(direction, gradient)) return direction;
    } catch (error) {
      if (!(error instanceof SeamwrightError)) throw error;
    }
  }
  return undefined;
}

/** In place. */
function negate(values: Float64Array): Float64Array {
  for (let i = 0; i < values.length; i++) values[i] = -values[i]!;
  return values;
}

function isDescent(direction: Float64Array, gradient: Float64Array): boolean {
  let slope = 0;
  for (let i = 0; i < gradient.length; i++) slope += direction[i]! * gradient[i]!;
  return slope <= 0;
}
