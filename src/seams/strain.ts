import { analyse, assembleSymmetric, LdlSolver } from '../linalg/index.js';
import type { Mesh } from '../mesh/index.js';

/** How much an opened mesh must stretch to lie flat, before it is flattened. */
export interface Strain {
  /** Logarithm of the conformal scale at each vertex of the opened mesh, 0 on every border. */
  readonly vertexScales: Float64Array;
  /** Mean symmetric Dirichlet energy of the conformal map of each chart at its best scale; 4 is isometry. */
  readonly chartEnergies: Float64Array;
  readonly chartAreas: Float64Array;
}

const MAX_SCALE = 4;
/** Triangles with an angle below about a third of a degree are needles. */
const NEEDLE_COTANGENT = 200;

/**
 * Solves Δu = K with u = 0 on the borders: e^u is the scale of the conformal map whose border keeps its
 * length (Ben-Chen, Gotsman & Bunin 2008, "Conformal flattening by curvature prescription and metric
 * scaling"). K is the angle defect.
 */
export function computeStrain(mesh: Mesh, cornerAngles: Float64Array, faceAreas: Float64Array): Strain {
  const unknowns = new Int32Array(mesh.vertexCount).fill(-1);
  let size = 0;
  for (let v = 0; v < mesh.vertexCount; v++)
    if (mesh.twin[mesh.vertexHalfEdges[v]!]! >= 0) unknowns[v] = size++;
  const vertexScales = new Float64Array(mesh.vertexCount);
  if (size > 0) {
    const defects = new Float64Array(size).fill(2 * Math.PI);
    for (let h = 0; h < mesh.cornerCount; h++) {
      const i = unknowns[mesh.cornerVertices[h]!]!;
      if (i >= 0) defects[i]! -= cornerAngles[h]!;
    }
    const matrix = assembleLaplacian(mesh, unknowns, size);
    const solution = new LdlSolver(analyse(matrix)).factor(matrix.values).solve(defects);
    for (let v = 0; v < mesh.vertexCount; v++) {
      if (unknowns[v]! >= 0) vertexScales[v] = solution[unknowns[v]!]!;
    }
  }
  const chartAreas = new Float64Array(mesh.shellCount);
  const grown = new Float64Array(mesh.shellCount);
  const shrunk = new Float64Array(mesh.shellCount);
  for (let f = 0; f < mesh.faceCount; f++) {
    let u = 0;
    for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++)
      u += vertexScales[mesh.cornerVertices[h]!]!;
    const mean = u / (mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!);
    const square = Math.exp(2 * Math.max(-MAX_SCALE, Math.min(MAX_SCALE, mean)));
    const chart = mesh.faceShells[f]!;
    chartAreas[chart]! += faceAreas[f]!;
    grown[chart]! += faceAreas[f]! * square;
    shrunk[chart]! += faceAreas[f]! / square;
  }
  // Mean of 2(s²e^{2u} + s⁻²e^{−2u}), least over s: 4 √(mean e^{2u} · mean e^{−2u}).
  const chartEnergies = chartAreas.map((area, i) =>
    area > 0 ? (4 * Math.sqrt(grown[i]! * shrunk[i]!)) / area : 4,
  );
  return { vertexScales, chartEnergies, chartAreas };
}

/** Cotangent Laplacian of the free vertices; a polygon counts as the mean of its fans. */
function assembleLaplacian(mesh: Mesh, unknowns: Int32Array, size: number) {
  const rows: number[] = [];
  const columns: number[] = [];
  const values: number[] = [];
  const addPair = (a: number, b: number, weight: number) => {
    const i = unknowns[a]!;
    const j = unknowns[b]!;
    if (i >= 0) {
      rows.push(i);
      columns.push(i);
      values.push(weight);
    }
    if (j >= 0) {
      rows.push(j);
      columns.push(j);
      values.push(weight);
    }
    if (i >= 0 && j >= 0) {
      rows.push(i);
      columns.push(j);
      values.push(-weight);
    }
  };
  const { cornerVertices, vertexPoints, points } = mesh;
  const cotangent = (o: number, a: number, b: number): number => {
    const p = 3 * vertexPoints[o]!;
    const q = 3 * vertexPoints[a]!;
    const r = 3 * vertexPoints[b]!;
    const ux = points[q]! - points[p]!;
    const uy = points[q + 1]! - points[p + 1]!;
    const uz = points[q + 2]! - points[p + 2]!;
    const vx = points[r]! - points[p]!;
    const vy = points[r + 1]! - points[p + 1]!;
    const vz = points[r + 2]! - points[p + 2]!;
    const sine = Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
    return (ux * vx + uy * vy + uz * vz) / sine;
  };
  const addTriangle = (a: number, b: number, c: number, share: number) => {
    let atA = cotangent(a, b, c);
    let atB = cotangent(b, c, a);
    let atC = cotangent(c, a, b);
    // A needle counts as an equilateral triangle: clamping its cotangents one by one would leave a form
    // that is no longer positive.
    if (!(Math.max(Math.abs(atA), Math.abs(atB), Math.abs(atC)) < NEEDLE_COTANGENT))
      atA = atB = atC = 1 / Math.sqrt(3);
    addPair(b, c, (share * atA) / 2);
    addPair(c, a, (share * atB) / 2);
    addPair(a, b, (share * atC) / 2);
  };
  for (let f = 0; f < mesh.faceCount; f++) {
    const first = mesh.faceOffsets[f]!;
    const count = mesh.faceOffsets[f + 1]! - first;
    const fans = count === 3 || count > 8 ? 1 : count === 4 ? 2 : count;
    for (let start = 0; start < fans; start++) {
      const apex = cornerVertices[first + start]!;
      for (let i = 1; i + 1 < count; i++) {
        const b = cornerVertices[first + ((start + i) % count)]!;
        const c = cornerVertices[first + ((start + i + 1) % count)]!;
        addTriangle(apex, b, c, 1 / fans);
      }
    }
  }
  for (let i = 0; i < size; i++) {
    rows.push(i);
    columns.push(i);
    values.push(1e-9);
  }
  return assembleSymmetric(size, rows, columns, values);
}
