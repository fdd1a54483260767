import type { ElementTree, MirroredElements, SolvingGround } from '../elements/index.js';
import { ElementSolver } from '../elements/index.js';
import type { CutMesh, EdgeId, Mesh } from '../mesh/index.js';
import { groupFacesByChart, isCutHalfEdge } from '../mesh/index.js';
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

/** What is said of an unknown: that it is held, or free, and then whether it has been counted. */
const HELD = 0;
const FREE = 1;
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
 * The system of some charts is the mesh's without the unknowns on their borders, which are held. So the mesh is
 * measured once, and the charts of a set are solved for together. Where seams are mirrored one half of the mesh is;
 * sides on the plane carry no force then, and its vertices have half their angle defect.
 *
 * Rejected, by the median error of (energy − 4) over the same charts of small strain: Δu = K with u = 0 on the
 * border (30–57 % after the best factor: that border keeps its length, a free one does not), and the least u
 * with Δu = K (26–43 %); this one errs by 3 % with no factor at all.
 */
export class StrainSystem {
  readonly #mesh: Mesh;
  readonly #mirror: MirroredElements | undefined;
  readonly #elements: StrainElements;
  readonly #solver: ElementSolver;
  /** What the unknowns of the mesh are in the latest question, and the faces that it was about. */
  readonly #unknownStates: Uint8Array;
  readonly #groups: Int32Array;
  readonly #onePatch: Int32Array;
  #faces: Int32Array = new Int32Array(0);

  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    this.#elements = buildStrainElements(mesh);
    this.#solver = new ElementSolver(mesh, mirror, this.#elements, this.#elements.rights);
    this.#unknownStates = new Uint8Array(this.#elements.unknownCount);
    this.#groups = new Int32Array(mesh.faceCount).fill(-1);
    this.#onePatch = new Int32Array(mesh.faceCount);
  }

  /** Area of some faces, squared model units. */
  measureArea(faces: Int32Array): number {
    const { faceOffsets, weights, area } = this.#elements;
    let sum = 0;
    for (const f of faces) for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++) sum += weights[e]!;
    return area * sum;
  }

  /** Strain of every chart, undefined for those that are no disks. */
  solveCharts({ faceCharts, chartCount, isSeam }: CutMesh): (ChartStrain | undefined)[] {
    const { offsets, faces } = groupFacesByChart({ faceCharts, chartCount });
    const isDisk = this.#ask(faces, faceCharts, chartCount, isSeam);
    const ground = this.#solver.grounds.choose(isSeam);
    this.#solve(ground);
    return isDisk.map((is, i) =>
      is ? this.#measure(ground, faces.subarray(offsets[i]!, offsets[i + 1]!)) : undefined,
    );
  }

  /**
   * Strain of a patch of a chart with a dead end of its seams closed, and with it cut; undefined where it is no disk
   * with or without.
   *
   * @param faces - connected without crossing a seam, ascending
   * @param isSeam - 1 per edge that is cut
   * @param edges - the dead end, with its mirror image where that lies in the patch, too
   */
  solveDeadEnd(
    faces: Int32Array,
    isSeam: Uint8Array,
    edges: readonly EdgeId[],
  ): { readonly closed: ChartStrain; readonly cut: ChartStrain } | undefined {
    const isClosed = isSeam.slice();
    for (const e of edges) isClosed[e] = 0;
    if (!this.#askPatch(faces, isSeam) || !this.#askPatch(faces, isClosed)) return undefined;
    const share = this.#shareOfImages(faces);
    const grounds = this.#solver.grounds;
    const isAlike = (share === 0 || share === 1) && grounds.choose(isSeam) === grounds.choose(isClosed);
    const ground = isAlike ? grounds.choose(isSeam) : grounds.whole;
    let patch = faces;
    if (share === 0 && ground === grounds.half) {
      // What lies beyond the plane by itself is looked at on this side.
      patch = faces.map((f) => ground.faceStandIns[f]!).sort();
      this.#askPatch(patch, isClosed);
    }
    this.#solve(ground);
    const closed = this.#measure(ground, patch);
    this.#askPatch(patch, isSeam);
    this.#solve(ground);
    return { closed, cut: this.#measure(ground, patch) };
  }

  #askPatch(faces: Int32Array, isSeam: Uint8Array): boolean {
    return this.#ask(faces, this.#onePatch, 1, isSeam)[0]!;
  }

  /**
   * Frees what lies inside groups of faces that are disks, and holds all else. A disk has V − E + F = 1, which for
   * connected faces leaves one border and no handle; the border has as many vertices as sides.
   *
   * @param groupOf - by face
   * @returns whether each group is a disk
   */
  #ask(faces: Int32Array, groupOf: Int32Array, count: number, isSeam: Uint8Array): boolean[] {
    const mesh = this.#mesh;
    const { vertexCount, faceOffsets, cornerVertices, cornerFaces, next, twin, halfEdgeEdges } = mesh;
    const states = this.#unknownStates;
    const groups = this.#groups;
    for (const f of this.#faces) groups[f] = -1;
    this.#setStates(this.#faces, HELD);
    this.#faces = faces;
    for (const f of faces) groups[f] = groupOf[f]!;
    this.#setStates(faces, FREE);
    const sides = new Int32Array(count);
    for (const f of faces)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        if (!isCutHalfEdge(mesh, isSeam, h) && groups[cornerFaces[twin[h]!]!] === groups[f]) continue;
        sides[groups[f]!]!++;
        states[cornerVertices[h]!] = HELD;
        states[cornerVertices[next[h]!]!] = HELD;
        states[vertexCount + halfEdgeEdges[h]!] = HELD;
      }
    const characteristics = new Int32Array(count);
    for (const f of faces) {
      characteristics[groups[f]!]!++;
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        const vertex = cornerVertices[h]!;
        const side = vertexCount + halfEdgeEdges[h]!;
        if (states[vertex] === FREE) characteristics[groups[f]!]!++;
        if (states[vertex] === FREE) states[vertex] = COUNTED;
        if (states[side] === FREE) characteristics[groups[f]!]!--;
        if (states[side] === FREE) states[side] = COUNTED;
      }
    }
    const isDisk = Array.from(sides, (side, i) => side >= 3 && characteristics[i] === 1);
    this.#setStates(
      faces.filter((f) => !isDisk[groups[f]!]),
      HELD,
    );
    return isDisk;
  }

  #setStates(faces: Int32Array, state: number): void {
    const { faceOffsets, sizes, places } = this.#elements;
    for (const f of faces)
      for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++)
        for (let i = ELEMENT_SIZE * e; i < ELEMENT_SIZE * e + sizes[e]!; i++)
          this.#unknownStates[places[i]!] = state;
  }

  /** Share of some faces whose mirror images are among them, of those that have one. */
  #shareOfImages(faces: Int32Array): number {
    const images = faces.map((f) => this.#mirror?.facePartners[f] ?? -1).filter((f) => f >= 0);
    return images.filter((f) => this.#groups[f] === 0).length / Math.max(1, images.length);
  }

  /** Solves the latest question. */
  #solve(ground: SolvingGround): void {
    const faces = this.#faces.map((f) => ground.faceStandIns[f]!);
    this.#solver.on(ground).solve(faces, this.#unknownStates);
  }

  #measure(ground: SolvingGround, faces: Int32Array): ChartStrain {
    const tree = this.#solver.on(ground);
    const { faceOffsets, weights } = this.#elements;
    const faceEnergies = new Float64Array(faces.length);
    const faceGrowth = new Float64Array(faces.length);
    const faceWeights = new Float64Array(faces.length);
    const sums = { energy: 0, growth: 0, weight: 0 };
    let energy = 0;
    let area = 0;
    for (let i = 0; i < faces.length; i++) {
      const f = ground.faceStandIns[faces[i]!]!;
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
      const isFree = this.#unknownStates[unknown] !== HELD && ranks[unknown]! >= 0;
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
