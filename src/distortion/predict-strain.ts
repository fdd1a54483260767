import type { SymmetricMatrix } from '../linalg/index.js';
import { assembleSymmetric } from '../linalg/index.js';
import type { EdgeId, Mesh } from '../mesh/index.js';
import { edgeVertices } from '../mesh/index.js';
import type { MirroredElements } from './chart-selection.js';
import { ChartSelection } from './chart-selection.js';
import type { EliminationOrder } from './elimination-order.js';
import { orderUnknowns } from './elimination-order.js';
import type { StrainElements } from './predict-elements.js';
import { buildStrainElements, COMPLIANCE_SIZE, ELEMENT_SIZE } from './predict-elements.js';
import { factorStrain } from './solve-strain.js';

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

/** What a number of an unknown says before it is one. */
const HELD = -1;
const FREE = -2;
const COUNTED = -3;
/** To be eliminated last. */
const LATE = -4;

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
 * A chart's system is the mesh's without the unknowns on the chart's border. So the mesh is measured, and its
 * unknowns are put in the order of elimination, once: a graph fills in no more when nodes are left out. A chart that
 * is its own mirror image is solved in one half; sides on the plane carry no force then, and its vertices have half
 * their angle defect.
 *
 * Rejected, by the median error of (energy − 4) over the same charts of small strain: Δu = K with u = 0 on the
 * border (30–57 % after the best factor: that border keeps its length, a free one does not), and the least u
 * with Δu = K (26–43 %); this one errs by 3 % with no factor at all.
 */
export class StrainSystem {
  readonly #mesh: Mesh;
  readonly #mirror: MirroredElements | undefined;
  readonly #elements: StrainElements;
  readonly #order: EliminationOrder;
  readonly #selection: ChartSelection;
  /** Number of each of the mesh's unknowns in the system being solved. */
  readonly #numbers: Int32Array;

  constructor(mesh: Mesh, mirror?: MirroredElements) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    this.#elements = buildStrainElements(mesh);
    this.#order = orderUnknowns(mesh, this.#elements);
    this.#selection = new ChartSelection(mesh);
    this.#numbers = new Int32Array(this.#elements.unknownCount);
  }

  /** Area of some faces, squared model units. */
  measureArea(faces: Int32Array): number {
    const { faceOffsets, weights, area } = this.#elements;
    let sum = 0;
    for (const f of faces) for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++) sum += weights[e]!;
    return area * sum;
  }

  /**
   * Strain of a chart or a patch of one, undefined when it is no disk.
   *
   * @param faces - connected without crossing a seam, ascending
   * @param isSeam - 1 per edge that is cut
   */
  solve(faces: Int32Array, isSeam: Uint8Array): ChartStrain | undefined {
    return this.#isDisk(faces, isSeam) ? this.#solveSelected(faces, [])[0] : undefined;
  }

  /**
   * Strain of a patch with a dead end of its seams closed, and with it cut; undefined where it is no disk with or
   * without. To cut is to hold what lies on the dead end: with that eliminated last, one factor serves both.
   *
   * @param faces - connected without crossing a seam, ascending
   * @param isSeam - 1 per edge that is cut
   * @param edges - the dead end
   */
  solveDeadEnd(
    faces: Int32Array,
    isSeam: Uint8Array,
    edges: readonly EdgeId[],
  ): { readonly closed: ChartStrain; readonly cut: ChartStrain } | undefined {
    if (!this.#isDisk(faces, isSeam)) return undefined;
    const isClosed = isSeam.slice();
    for (const e of edges) isClosed[e] = 0;
    if (!this.#isDisk(faces, isClosed)) return undefined;
    const [closed, cut] = this.#solveSelected(faces, edges) as [ChartStrain, ChartStrain];
    return { closed, cut };
  }

  /** Selects a piece, frees its unknowns and holds those on its border; tells whether it is a disk. */
  #isDisk(faces: Int32Array, isSeam: Uint8Array): boolean {
    this.#selection.select(faces, isSeam);
    this.#free(faces);
    return this.#holdBorder(faces);
  }

  /** Strain of the piece that is selected, and also with what lies on some edges held, if any are given. */
  #solveSelected(faces: Int32Array, edges: readonly EdgeId[]): ChartStrain[] {
    const mirror = this.#mirror;
    const isMirrored = mirror && edges.every((e) => mirror.edgePartners[e] === e);
    const half = isMirrored ? this.#selection.findHalf(mirror) : undefined;
    if (half) this.#holdPlane(half);
    for (const e of edges) this.#putLast(e);
    const elements = this.#listElements(half ?? faces);
    const { groups, lateCount } = this.#numberUnknowns(elements);
    const size = groups.length;
    const right = this.#assembleRight(elements, size);
    if (half) this.#halveDefects(half, right);
    const solver = size > 0 ? factorStrain(this.#assembleMatrix(elements, size), groups) : undefined;
    const solutions = [solver?.solve(right) ?? right];
    if (edges.length > 0) solutions.push(solver?.solveLeading(right, size - lateCount) ?? right);
    return solutions.map((solution) => this.#measureFaces(faces, half ?? faces, solution));
  }

  #putLast(e: EdgeId): void {
    const numbers = this.#numbers;
    for (const unknown of [...edgeVertices(this.#mesh, e), this.#mesh.vertexCount + e])
      if (numbers[unknown] === FREE || numbers[unknown] === COUNTED) numbers[unknown] = LATE;
  }

  #free(faces: Int32Array): void {
    const { faceOffsets, places, sizes } = this.#elements;
    for (const f of faces)
      for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++)
        for (let i = ELEMENT_SIZE * e; i < ELEMENT_SIZE * e + sizes[e]!; i++)
          this.#numbers[places[i]!] = FREE;
  }

  /**
   * Holds what lies on the border, and tells whether the faces are a disk: V − E + F is 1, which for connected faces
   * leaves one border and no handle; the border has as many vertices as sides.
   */
  #holdBorder(faces: Int32Array): boolean {
    const { vertexCount, faceOffsets, cornerVertices, next, halfEdgeEdges } = this.#mesh;
    const numbers = this.#numbers;
    let borderCount = 0;
    for (const f of faces)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        if (!this.#selection.isBorder(h)) continue;
        borderCount++;
        numbers[cornerVertices[h]!] = HELD;
        numbers[cornerVertices[next[h]!]!] = HELD;
        numbers[vertexCount + halfEdgeEdges[h]!] = HELD;
      }
    let characteristic = faces.length;
    for (const f of faces)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        const vertex = cornerVertices[h]!;
        const side = vertexCount + halfEdgeEdges[h]!;
        if (numbers[vertex] === FREE) characteristic++;
        if (numbers[vertex] === FREE) numbers[vertex] = COUNTED;
        if (numbers[side] === FREE) characteristic--;
        if (numbers[side] === FREE) numbers[side] = COUNTED;
      }
    return borderCount >= 3 && characteristic === 1;
  }

  #holdPlane(half: Int32Array): void {
    const { vertexCount, halfEdgeEdges } = this.#mesh;
    this.#walkPlane(half, (h) => {
      this.#numbers[vertexCount + halfEdgeEdges[h]!] = HELD;
    });
  }

  #halveDefects(half: Int32Array, right: Float64Array): void {
    const { cornerVertices, next } = this.#mesh;
    const { vertexDefects } = this.#elements;
    const isHalved = new Set<number>();
    this.#walkPlane(half, (h) => {
      for (const v of [cornerVertices[h]!, cornerVertices[next[h]!]!]) {
        if (this.#numbers[v]! < 0 || isHalved.has(v)) continue;
        isHalved.add(v);
        right[this.#numbers[v]!]! -= vertexDefects[v]! / 2;
      }
    });
  }

  #walkPlane(half: Int32Array, visit: (h: number) => void): void {
    const { faceOffsets, halfEdgeEdges } = this.#mesh;
    for (const f of half)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        const edge = halfEdgeEdges[h]!;
        if (this.#mirror!.edgePartners[edge] === edge) visit(h);
      }
  }

  #listElements(faces: Int32Array): Int32Array {
    const { faceOffsets } = this.#elements;
    let count = 0;
    for (const f of faces) count += faceOffsets[f + 1]! - faceOffsets[f]!;
    const elements = new Int32Array(count);
    count = 0;
    for (const f of faces) for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++) elements[count++] = e;
    return elements;
  }

  /** Numbers what is free in the order of elimination. Returns what is eliminated together as one group. */
  #numberUnknowns(elements: Int32Array): { groups: Int32Array; lateCount: number } {
    const { places, sizes, unknownCount } = this.#elements;
    const { ranks, order, owners } = this.#order;
    const numbers = this.#numbers;
    const met = new Int32Array(ELEMENT_SIZE * elements.length);
    let count = 0;
    let lateCount = 0;
    for (const e of elements)
      for (let i = ELEMENT_SIZE * e; i < ELEMENT_SIZE * e + sizes[e]!; i++) {
        const unknown = places[i]!;
        const state = numbers[unknown]!;
        if (state !== FREE && state !== COUNTED && state !== LATE) continue;
        numbers[unknown] = 0;
        met[count++] = ranks[unknown]! + (state === LATE ? unknownCount : 0);
        if (state === LATE) lateCount++;
      }
    const sorted = met.subarray(0, count).sort();
    const groups = new Int32Array(count);
    let last = -1;
    for (let k = 0; k < count; k++) {
      const unknown = order[sorted[k]! % unknownCount]!;
      numbers[unknown] = k;
      const isNew = k === count - lateCount || owners[unknown] !== last;
      groups[k] = k > 0 ? groups[k - 1]! + Number(isNew) : 0;
      last = owners[unknown]!;
    }
    return { groups, lateCount };
  }

  #assembleRight(elements: Int32Array, size: number): Float64Array {
    const { places, sizes, signs, loads, vertexDefects } = this.#elements;
    const right = new Float64Array(size);
    for (const e of elements)
      for (let i = ELEMENT_SIZE * e; i < ELEMENT_SIZE * e + sizes[e]! / 2; i++)
        if (this.#numbers[places[i]!]! >= 0) right[this.#numbers[places[i]!]!] = vertexDefects[places[i]!]!;
    for (const e of elements)
      for (let i = ELEMENT_SIZE * e; i < ELEMENT_SIZE * e + sizes[e]!; i++)
        if (this.#numbers[places[i]!]! >= 0) right[this.#numbers[places[i]!]!]! += signs[i]! * loads[i]!;
    return right;
  }

  #assembleMatrix(elements: Int32Array, size: number): SymmetricMatrix {
    const { places, sizes, signs, compliances } = this.#elements;
    const numbers = this.#numbers;
    let most = 0;
    for (const e of elements) most += (sizes[e]! * (sizes[e]! + 1)) / 2;
    const rows = new Int32Array(most);
    const columns = new Int32Array(most);
    const values = new Float64Array(most);
    let count = 0;
    for (const e of elements) {
      const at = ELEMENT_SIZE * e;
      let p = COMPLIANCE_SIZE * e;
      for (let i = at; i < at + sizes[e]!; i++) {
        const row = numbers[places[i]!]!;
        for (let j = at; j <= i; j++, p++) {
          const column = numbers[places[j]!]!;
          if (row < 0 || column < 0) continue;
          rows[count] = row;
          columns[count] = column;
          values[count++] = signs[i]! * signs[j]! * compliances[p]!;
        }
      }
    }
    return assembleSymmetric(
      size,
      rows.subarray(0, count),
      columns.subarray(0, count),
      values.subarray(0, count),
    );
  }

  #measureFaces(faces: Int32Array, solved: Int32Array, solution: Float64Array): ChartStrain {
    const { faceOffsets, weights } = this.#elements;
    const faceEnergies = new Float64Array(faces.length);
    const faceGrowth = new Float64Array(faces.length);
    const faceWeights = new Float64Array(faces.length);
    const measured = { energy: 0, growth: 0 };
    let energy = 0;
    let area = 0;
    for (let i = 0, k = 0; i < faces.length; i++) {
      if (faces[i] !== solved[k]) continue;
      k++;
      let weight = 0;
      measured.energy = 0;
      measured.growth = 0;
      for (let e = faceOffsets[faces[i]!]!; e < faceOffsets[faces[i]! + 1]!; e++) {
        this.#measureElement(e, solution, measured);
        weight += weights[e]!;
      }
      faceEnergies[i] = (4 * measured.energy) / weight;
      faceGrowth[i] = measured.growth / weight;
      faceWeights[i] = weight;
      energy += 4 * measured.energy;
      area += weight;
    }
    if (solved !== faces) this.#mirrorFaces(faces, [faceEnergies, faceGrowth, faceWeights]);
    const total = solved === faces ? area : 2 * area;
    for (let i = 0; i < faces.length; i++) faceWeights[i]! /= total;
    return { energy: energy / area, faceEnergies, faceGrowth, faceWeights };
  }

  /** Gives faces without a weight, the last of the lists, the figures of their partners. */
  #mirrorFaces(faces: Int32Array, lists: readonly Float64Array[]): void {
    const places = new Map<number, number>();
    for (let i = 0; i < faces.length; i++) places.set(faces[i]!, i);
    const isMeasured = lists[lists.length - 1]!.map((weight) => Number(weight > 0));
    for (let i = 0; i < faces.length; i++) {
      if (isMeasured[i]) continue;
      const twin = places.get(this.#mirror!.facePartners[faces[i]!]!)!;
      for (const list of lists) list[i] = list[twin]!;
    }
  }

  #measureElement(e: number, solution: Float64Array, sums: { energy: number; growth: number }): void {
    const { sizes, places, signs, compliances, ownEnergies } = this.#elements;
    const at = ELEMENT_SIZE * e;
    const width = sizes[e]!;
    let p = COMPLIANCE_SIZE * e;
    let energy = ownEnergies[e]!;
    for (let i = 0; i < width; i++) {
      const unknown = this.#numbers[places[at + i]!]!;
      const x = unknown < 0 ? 0 : signs[at + i]! * solution[unknown]!;
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
