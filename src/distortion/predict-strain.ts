import type { CutMesh, EdgeId, Mesh } from '../mesh/index.js';
import { edgeVertices, groupFacesByChart, isCutHalfEdge } from '../mesh/index.js';
import { splitFaces } from './face-tree.js';
import type { MirroredElements } from './mirror-half.js';
import { findMirrorHalf } from './mirror-half.js';
import type { StrainElements } from './predict-elements.js';
import { buildStrainElements, COMPLIANCE_SIZE, ELEMENT_SIZE } from './predict-elements.js';
import type { StrainStates } from './strain-tree.js';
import { StrainTree } from './strain-tree.js';

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

/** The faces that stand for all, and their system. */
interface Ground {
  readonly tree: StrainTree;
  /** The face that each is measured by: itself, or its mirror image. */
  readonly standIns: Int32Array;
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
  readonly #half: Ground | undefined;
  #whole: Ground | undefined;
  /** What the unknowns of the mesh are in the latest question, and the faces that it was about. */
  readonly #unknownStates: Uint8Array;
  readonly #groups: Int32Array;
  #faces: Int32Array = new Int32Array(0);

  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    this.#elements = buildStrainElements(mesh);
    this.#unknownStates = new Uint8Array(this.#elements.unknownCount);
    this.#groups = new Int32Array(mesh.faceCount).fill(-1);
    const half = mirror && findMirrorHalf(mesh, mirror);
    this.#half = half && this.#prepare(half, mirror);
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
    const ground = this.#choose(this.#isMirrored(isSeam));
    this.#solve(ground, true);
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
    const imageShare = this.#shareOfImages(faces);
    const isAlike = imageShare === 0 || imageShare === 1;
    const ground = this.#choose(isAlike && this.#isMirrored(isSeam) && this.#isMirrored(isClosed));
    // What lies beyond the plane by itself is looked at on this side.
    const patch = imageShare > 0 ? faces : faces.map((f) => ground.standIns[f]!).sort();
    this.#askPatch(patch, isClosed);
    const states = this.#solve(ground, false);
    const closed = this.#measure(ground, patch);
    this.#askPatch(patch, isSeam);
    this.#solve(ground, false, states);
    return { closed, cut: this.#measure(ground, patch) };
  }

  #askPatch(faces: Int32Array, isSeam: Uint8Array): boolean {
    return this.#ask(faces, new Int32Array(this.#mesh.faceCount), 1, isSeam)[0]!;
  }

  /** The half of the mesh where all is mirrored, else the whole of it. */
  #choose(isMirrored: boolean): Ground {
    if (isMirrored && this.#half) return this.#half;
    this.#whole ??= this.#prepare(Int32Array.from({ length: this.#mesh.faceCount }, (_, f) => f));
    return this.#whole;
  }

  /** @param mirror - given when the faces are one half */
  #prepare(faces: Int32Array, mirror?: MirroredElements): Ground {
    const { vertexCount, faceCount, faceOffsets, halfEdgeEdges } = this.#mesh;
    const { faceOffsets: offsets, sizes, places, signs, loads, vertexDefects, unknownCount } = this.#elements;
    const standIns = mirror ? mirror.facePartners.slice() : new Int32Array(faceCount);
    const isFixed = new Uint8Array(unknownCount);
    const rights = new Float64Array(unknownCount);
    rights.set(vertexDefects);
    for (const f of faces) {
      standIns[f] = f;
      for (let h = faceOffsets[f]!; mirror && h < faceOffsets[f + 1]!; h++) {
        const edge = halfEdgeEdges[h]!;
        if (mirror.edgePartners[edge] !== edge) continue;
        isFixed[vertexCount + edge] = 1;
        for (const v of edgeVertices(this.#mesh, edge)) rights[v] = vertexDefects[v]! / 2;
      }
    }
    for (const f of faces)
      for (let e = offsets[f]!; e < offsets[f + 1]!; e++)
        for (let i = ELEMENT_SIZE * e; i < ELEMENT_SIZE * e + sizes[e]!; i++)
          rights[places[i]!]! += signs[i]! * loads[i]!;
    return { tree: new StrainTree(this.#elements, splitFaces(this.#mesh, faces), rights, isFixed), standIns };
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

  #isMirrored(isSeam: Uint8Array): boolean {
    if (!this.#half) return false;
    const { edgePartners } = this.#mirror!;
    for (let e = 0; e < isSeam.length; e++)
      if (edgePartners[e]! >= 0 && isSeam[edgePartners[e]!] !== isSeam[e]) return false;
    return true;
  }

  /** Share of some faces whose mirror images are among them, of those that have one. */
  #shareOfImages(faces: Int32Array): number {
    const images = faces.map((f) => this.#mirror?.facePartners[f] ?? -1).filter((f) => f >= 0);
    return images.filter((f) => this.#groups[f] === 0).length / Math.max(1, images.length);
  }

  /** Solves the latest question. */
  #solve({ tree, standIns }: Ground, isKept: boolean, like?: StrainStates): StrainStates {
    return tree.solve(
      this.#faces.map((f) => standIns[f]!),
      this.#unknownStates,
      isKept,
      like,
    );
  }

  #measure({ tree, standIns }: Ground, faces: Int32Array): ChartStrain {
    const { faceOffsets, weights } = this.#elements;
    const faceEnergies = new Float64Array(faces.length);
    const faceGrowth = new Float64Array(faces.length);
    const faceWeights = new Float64Array(faces.length);
    const sums = { energy: 0, growth: 0, weight: 0 };
    let energy = 0;
    let area = 0;
    for (let i = 0; i < faces.length; i++) {
      const f = standIns[faces[i]!]!;
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

  #measureElement(e: number, { ranks, values }: StrainTree, sums: { energy: number; growth: number }): void {
    const { sizes, places, signs, compliances, ownEnergies } = this.#elements;
    const at = ELEMENT_SIZE * e;
    const width = sizes[e]!;
    let p = COMPLIANCE_SIZE * e;
    let energy = ownEnergies[e]!;
    for (let i = 0; i < width; i++) {
      const unknown = places[at + i]!;
      const isFree = this.#unknownStates[unknown] !== HELD && ranks[unknown]! >= 0;
      const x = isFree ? signs[at + i]! * values[ranks[unknown]!]! : 0;
      scratch[i] = x;
      // A scale factor leaves angles alone, so the trace of the strain is that of the forces.
      if (2 * i >= width) sums.growth += x;
      let row = 0;
      for (let j = 0; j < i; j++) row += compliances[p++]! * scratch[j]!;
      energy += x * (2 * row + compliances[p++]! * x);
    }
    sums.energy += energy;
  }
}

const scratch = new Float64Array(ELEMENT_SIZE);
