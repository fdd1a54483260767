import type { ElementTree, MirroredElements, SolvingPiece } from '../elements/index.js';
import { ElementSolver, FREE, HELD } from '../elements/index.js';
import type { EdgeId, Mesh } from '../mesh/index.js';
import type { StrainElements } from './predict-elements.js';
import { buildStrainElements, ELEMENT_SIZE, FORM_SIZE } from './predict-elements.js';

/** The strain that a chart cannot be spared, to first order. */
export interface ChartStrain {
  /** Area-weighted mean of 4 |ε|²: the least symmetric Dirichlet energy less 4, were the strain small. */
  readonly energy: number;
  /** The same mean over each of the faces. */
  readonly faceEnergies: Float64Array;
  /** Logarithm of the area factor of each of the faces. */
  readonly faceGrowth: Float64Array;
  /** Share of the chart's area in each of the faces. */
  readonly faceWeights: Float64Array;
}

/** What is said of an unknown that is free and has been counted. */
const COUNTED = 2;

/**
 * Solves for the least strain that makes a disk cut out of a mesh flat, its border being free.
 *
 * To flatten a surface of curvature K is to give it a strain ε with curl curl ε = −K. As σ² + σ⁻² = 2 + 4 ε² for
 * small ε, the least symmetric Dirichlet energy is then 4 plus the mean of 4 |ε|²: that of an elastic plate of
 * Poisson ratio 0, whose stress has a potential φ (Airy's) with ΔΔφ = K and φ = ∂φ/∂n = 0 on the border.
 * On the mesh each triangle has one strain, which agrees with its neighbours' along shared sides and closes
 * the angles round every inner vertex, as a piecewise linear map does. The multipliers are φ at the vertices
 * and a force along each inner side; with the strain eliminated triangle by triangle a sparse positive definite
 * system is left (the Hellan–Herrmann–Johnson mixed method, hybridised; Comodi, "The Hellan–Herrmann–Johnson
 * method", Math. Comp. 52, 1989; from memory).
 *
 * The system of a chart is the mesh's without the unknowns on its border, which are held; so the mesh is measured once.
 * A chart that is its own mirror image is solved in one half, where sides on the plane carry no force and its vertices
 * have half their angle defect.
 *
 * Rejected, by the median error of (energy − 4) over the same charts of small strain: Δu = K with u = 0 on the
 * border (30–57 % after the best factor: that border keeps its length, a free one does not), and the least u
 * with Δu = K (26–43 %); this one errs by 3 % with no factor at all.
 */
export class StrainSystem {
  readonly #mesh: Mesh;
  readonly #elements: StrainElements;
  readonly #solver: ElementSolver;

  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#elements = buildStrainElements(mesh);
    this.#solver = new ElementSolver(mesh, mirror, this.#elements, this.#elements.rights);
  }

  /** Area of some faces, squared model units. */
  measureArea(faces: Int32Array): number {
    const { faceOffsets, weights, area } = this.#elements;
    let sum = 0;
    for (const f of faces) for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++) sum += weights[e]!;
    return area * sum;
  }

  /**
   * Strain of a chart, undefined when it is no disk.
   *
   * @param faces - connected without crossing a seam
   * @param isSeam - 1 per edge that is cut
   */
  solve(faces: Int32Array, isSeam: Uint8Array): ChartStrain | undefined {
    const piece = this.#solver.grounds.choose(faces, isSeam);
    return this.#isDisk(piece, 0) ? this.#measure(piece) : undefined;
  }

  /**
   * Strain of a patch of a chart with a dead end of its seams closed, and with it cut; undefined where it is no disk
   * with or without.
   *
   * @param faces - connected without crossing a seam
   * @param isSeam - 1 per edge that is cut
   * @param edges - the dead end, with its mirror image where there is one
   */
  solveDeadEnd(
    faces: Int32Array,
    isSeam: Uint8Array,
    edges: readonly EdgeId[],
  ): { readonly closed: ChartStrain; readonly cut: ChartStrain } | undefined {
    const isClosed = isSeam.slice();
    for (const e of edges) isClosed[e] = 0;
    const piece = this.#solver.grounds.choose(faces, isSeam, isClosed);
    if (!this.#isDisk(piece, 1)) return undefined;
    const closed = this.#measure(piece);
    return this.#isDisk(piece, 0) ? { closed, cut: this.#measure(piece) } : undefined;
  }

  /**
   * Asks about a piece under one of its masks, and tells whether it is a disk: V − E + F is 1, which for connected faces
   * leaves one border and no handle; the border has as many vertices as sides.
   */
  #isDisk({ asked: faces, masks }: SolvingPiece, mask: number): boolean {
    const { vertexCount, faceOffsets, cornerVertices, halfEdgeEdges } = this.#mesh;
    const sideCount = this.#solver.ask(faces, masks[mask]!);
    const { states } = this.#solver;
    let characteristic = faces.length;
    for (const f of faces)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        const vertex = cornerVertices[h]!;
        const side = vertexCount + halfEdgeEdges[h]!;
        if (states[vertex] === FREE) characteristic++;
        if (states[vertex] === FREE) states[vertex] = COUNTED;
        if (states[side] === FREE) characteristic--;
        if (states[side] === FREE) states[side] = COUNTED;
      }
    return sideCount >= 3 && characteristic === 1;
  }

  /** Solves the latest question. */
  #measure(piece: SolvingPiece): ChartStrain {
    const tree = this.#solver.solve(piece);
    const faces = piece.solved;
    const { faceOffsets, weights } = this.#elements;
    const faceEnergies = new Float64Array(faces.length);
    const faceGrowth = new Float64Array(faces.length);
    const faceWeights = new Float64Array(faces.length);
    const sums = { energy: 0, growth: 0, weight: 0 };
    let energy = 0;
    let area = 0;
    for (let i = 0; i < faces.length; i++) {
      const f = faces[i]!;
      sums.energy = sums.growth = sums.weight = 0;
      for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++) {
        this.#measureElement(e, tree, sums);
        sums.weight += weights[e]!;
      }
      faceEnergies[i] = (4 * sums.energy) / sums.weight;
      faceGrowth[i] = sums.growth / sums.weight;
      faceWeights[i] = sums.weight;
      energy += 4 * sums.energy;
      area += sums.weight;
    }
    for (let i = 0; i < faces.length; i++) faceWeights[i]! /= area;
    return { energy: energy / area, faceEnergies, faceGrowth, faceWeights };
  }

  #measureElement(e: number, { ranks, values }: ElementTree, sums: { energy: number; growth: number }): void {
    const { sizes, places, signs, forms, ownEnergies } = this.#elements;
    const at = ELEMENT_SIZE * e;
    const width = sizes[e]!;
    let p = FORM_SIZE * e;
    let energy = ownEnergies[e]!;
    for (let i = 0; i < width; i++) {
      const unknown = places[at + i]!;
      const isFree = this.#solver.states[unknown] !== HELD && ranks[unknown]! >= 0;
      const x = isFree ? signs[at + i]! * values[ranks[unknown]!]! : 0;
      scratch[i] = x;
      // A scale factor leaves angles alone, so the trace of the strain is that of the forces.
      if (2 * i >= width) sums.growth += x;
      let row = 0;
      for (let j = 0; j < i; j++) row += forms[p++]! * scratch[j]!;
      energy += x * (2 * row + forms[p++]! * x);
    }
    sums.energy += energy;
  }
}

const scratch = new Float64Array(ELEMENT_SIZE);
