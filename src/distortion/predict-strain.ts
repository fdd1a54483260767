import { SeamwrightError } from '../errors.js';
import { buildRestTriangles } from '../flattening/index.js';
import type { SymmetricMatrix } from '../linalg/index.js';
import { analyse, assembleSymmetric, LdlSolver } from '../linalg/index.js';
import type { ChartSurface } from '../mesh/index.js';
import type { StrainElements } from './predict-elements.js';
import { buildStrainElements, ELEMENT_SIZE } from './predict-elements.js';

/** Measured: analysing vertices with their sides as one beats the zeros it stores. */
const GROUP_SHARE = 0;

/** The strain that a chart cannot be spared, to first order. */
export interface ChartStrain {
  /** Area-weighted mean of 4 |ε|²: the least symmetric Dirichlet energy less 4, were the strain small. */
  readonly energy: number;
  /** The same mean over each local face. */
  readonly faceEnergies: Float64Array;
  /** Logarithm of the area factor of each local face. */
  readonly faceGrowth: Float64Array;
  /** Share of the chart's area in each local face. */
  readonly faceWeights: Float64Array;
  /** Angle defect of each local vertex, radians; 0 on the border. */
  readonly vertexDefects: Float64Array;
  /** Area of the chart, squared model units. */
  readonly surfaceArea: number;
}

/**
 * Solves for the least strain that makes a disk flat, its border being free.
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
 * Rejected, by the median error of (energy − 4) over the same charts of small strain: Δu = K with u = 0 on the
 * border (30–57 % after the best factor: that border keeps its length, a free one does not), and the least u
 * with Δu = K (26–43 %); this one errs by 3 % with no factor at all.
 *
 * @param surface - a disk
 */
export function computeChartStrain(surface: ChartSurface, rest = buildRestTriangles(surface)): ChartStrain {
  const elements = buildStrainElements(surface, rest);
  const isBorder = new Uint8Array(surface.vertexCount);
  for (const loop of surface.borderLoops) for (const v of loop) isBorder[v] = 1;
  const vertexDefects = elements.vertexAngles.map((angle, v) => (isBorder[v] ? 0 : 2 * Math.PI - angle));
  const numbering = numberUnknowns(elements, isBorder);
  const right = assembleRight(elements, numbering, vertexDefects);
  const matrix = assembleMatrix(elements, numbering);
  const solution = solve(matrix, right, numbering.groups);
  let energy = 0;
  for (let i = 0; i < right.length; i++) energy += 4 * right[i]! * solution[i]!;
  for (let e = 0; e < elements.count; e++) energy += 4 * elements.ownEnergies[e]!;
  return {
    energy,
    ...measureFaces(elements, numbering, solution, surface.faces.length),
    vertexDefects,
    surfaceArea: rest.unit * rest.unit,
  };
}

interface Numbering {
  readonly size: number;
  /** Unknown of each place of each element, -1 for none. */
  readonly unknowns: Int32Array;
  /** Vertex that each unknown is ordered with: a third of the nodes to order, for little more fill. */
  readonly groups: Int32Array;
}

/** Potentials of inner vertices, then forces of inner sides. */
function numberUnknowns(elements: StrainElements, isBorder: Uint8Array): Numbering {
  const { count, sizes, places, sideCounts, sideVertices } = elements;
  const vertexUnknowns = new Int32Array(isBorder.length).fill(-1);
  const sideUnknowns = new Int32Array(sideCounts.length).fill(-1);
  let size = 0;
  for (let v = 0; v < isBorder.length; v++) if (!isBorder[v]) vertexUnknowns[v] = size++;
  for (let s = 0; s < sideCounts.length; s++) if (sideCounts[s]! > 1) sideUnknowns[s] = size++;
  const unknowns = new Int32Array(ELEMENT_SIZE * count).fill(-1);
  for (let e = 0; e < count; e++) {
    const at = ELEMENT_SIZE * e;
    const half = sizes[e]! / 2;
    for (let i = 0; i < half; i++) {
      unknowns[at + i] = vertexUnknowns[places[at + i]!]!;
      unknowns[at + half + i] = sideUnknowns[places[at + half + i]!]!;
    }
  }
  const groups = new Int32Array(size);
  for (let v = 0; v < isBorder.length; v++) if (vertexUnknowns[v]! >= 0) groups[vertexUnknowns[v]!] = v;
  for (let s = 0; s < sideCounts.length; s++)
    if (sideUnknowns[s]! >= 0) groups[sideUnknowns[s]!] = sideVertices[s]!;
  return { size, unknowns, groups };
}

function assembleRight(
  elements: StrainElements,
  { size, unknowns }: Numbering,
  vertexDefects: Float64Array,
): Float64Array {
  const right = new Float64Array(size);
  const { count, sizes, places, signs, loads } = elements;
  for (let e = 0; e < count; e++) {
    const at = ELEMENT_SIZE * e;
    for (let i = 0; i < sizes[e]!; i++) {
      const unknown = unknowns[at + i]!;
      if (unknown < 0) continue;
      if (2 * i < sizes[e]!) right[unknown] = vertexDefects[places[at + i]!]!;
    }
  }
  for (let k = 0; k < unknowns.length; k++)
    if (unknowns[k]! >= 0) right[unknowns[k]!]! += signs[k]! * loads[k]!;
  return right;
}

function assembleMatrix(elements: StrainElements, { size, unknowns }: Numbering): SymmetricMatrix {
  const { count, sizes, signs, compliances } = elements;
  let most = 0;
  for (let e = 0; e < count; e++) most += (sizes[e]! * (sizes[e]! + 1)) / 2;
  const rows = new Int32Array(most);
  const columns = new Int32Array(most);
  const values = new Float64Array(most);
  let k = 0;
  for (let e = 0; e < count; e++) {
    const at = ELEMENT_SIZE * e;
    const width = sizes[e]!;
    for (let i = 0; i < width; i++) {
      const row = unknowns[at + i]!;
      if (row < 0) continue;
      for (let j = 0; j <= i; j++) {
        const column = unknowns[at + j]!;
        if (column < 0) continue;
        rows[k] = row;
        columns[k] = column;
        values[k++] = signs[at + i]! * signs[at + j]! * compliances[ELEMENT_SIZE * at + width * i + j]!;
      }
    }
  }
  return assembleSymmetric(size, rows.subarray(0, k), columns.subarray(0, k), values.subarray(0, k));
}

/** Shares by which the diagonal is raised, one after the other, where rounding eats a pivot, as on needles. */
const RAISES = [0, 1e-8, 1e-5, 1e-2] as const;

function solve(matrix: SymmetricMatrix, right: Float64Array, groups: Int32Array): Float64Array {
  return solveRaised(new LdlSolver(analyse(matrix, { groups, groupShare: GROUP_SHARE })), matrix, right, 0);
}

function solveRaised(
  solver: LdlSolver,
  matrix: SymmetricMatrix,
  right: Float64Array,
  attempt: number,
): Float64Array {
  const values = matrix.values.slice();
  for (let j = 0; j < matrix.size; j++) values[matrix.columnOffsets[j]!]! *= 1 + RAISES[attempt]!;
  try {
    return solver.factor(values).solve(right);
  } catch (error) {
    if (!(error instanceof SeamwrightError) || attempt + 1 === RAISES.length) throw error;
    return solveRaised(solver, matrix, right, attempt + 1);
  }
}

function measureFaces(
  elements: StrainElements,
  { unknowns }: Numbering,
  solution: Float64Array,
  faceCount: number,
): Pick<ChartStrain, 'faceEnergies' | 'faceGrowth' | 'faceWeights'> {
  const { count, sizes, signs, compliances, ownEnergies, weights, faces } = elements;
  const faceEnergies = new Float64Array(faceCount);
  const faceGrowth = new Float64Array(faceCount);
  const faceWeights = new Float64Array(faceCount);
  const x = new Float64Array(ELEMENT_SIZE);
  for (let e = 0; e < count; e++) {
    const at = ELEMENT_SIZE * e;
    const width = sizes[e]!;
    let energy = ownEnergies[e]!;
    let growth = 0;
    for (let i = 0; i < width; i++) {
      const unknown = unknowns[at + i]!;
      x[i] = unknown < 0 ? 0 : signs[at + i]! * solution[unknown]!;
      // A scale factor leaves angles alone, so the trace of the strain is that of the forces.
      if (2 * i >= width) growth += x[i]!;
      let row = 0;
      for (let j = 0; j < i; j++) row += compliances[ELEMENT_SIZE * at + width * i + j]! * x[j]!;
      energy += x[i]! * (2 * row + compliances[ELEMENT_SIZE * at + (width + 1) * i]! * x[i]!);
    }
    faceEnergies[faces[e]!]! += 4 * energy;
    faceGrowth[faces[e]!]! += growth;
    faceWeights[faces[e]!]! += weights[e]!;
  }
  for (let f = 0; f < faceCount; f++) {
    faceEnergies[f]! /= faceWeights[f]!;
    faceGrowth[f]! /= faceWeights[f]!;
  }
  return { faceEnergies, faceGrowth, faceWeights };
}
