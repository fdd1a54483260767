import { analyse, assembleSymmetric, LdlSolver } from '../linalg/index.js';
import type { ChartSurface } from '../mesh/index.js';

/** Triangles with an angle below about a third of a degree are needles. */
const NEEDLE_COTANGENT = 200;
/** Keeps the matrix regular where weights vanish. */
const REGULARITY = 1e-9;

/**
 * Logarithm of the conformal scale at each vertex of a chart, 0 on its border: solves Δu = K, K the angle
 * defect; e^u is the scale of the conformal map whose border keeps its length (Ben-Chen, Gotsman & Bunin 2008,
 * "Conformal flattening by curvature prescription and metric scaling").
 *
 * @param cornerAngles - interior angle of every corner of the whole mesh, radians
 */
export function computeLogScales(surface: ChartSurface, cornerAngles: Float64Array): Float64Array {
  const { vertexCount, cornerVertices, corners } = surface;
  const unknowns = new Int32Array(vertexCount);
  for (const loop of surface.borderLoops) for (const v of loop) unknowns[v] = -1;
  let size = 0;
  for (let v = 0; v < vertexCount; v++) if (unknowns[v] === 0) unknowns[v] = size++;
  const logScales = new Float64Array(vertexCount);
  if (size === 0) return logScales;
  const defects = new Float64Array(size).fill(2 * Math.PI);
  for (let c = 0; c < corners.length; c++) {
    const i = unknowns[cornerVertices[c]!]!;
    if (i >= 0) defects[i]! -= cornerAngles[corners[c]!]!;
  }
  const matrix = new LaplacianAssembler(surface, unknowns, size).assemble();
  const solution = new LdlSolver(analyse(matrix)).factor(matrix.values).solve(defects);
  for (let v = 0; v < vertexCount; v++) if (unknowns[v]! >= 0) logScales[v] = solution[unknowns[v]!]!;
  return logScales;
}

/** Cotangent Laplacian of the inner vertices; a polygon counts as the mean of its fans. */
class LaplacianAssembler {
  readonly #surface: ChartSurface;
  readonly #unknowns: Int32Array;
  readonly #size: number;
  readonly #rows: Int32Array;
  readonly #columns: Int32Array;
  readonly #values: Float64Array;
  readonly #diagonal: Float64Array;
  #count = 0;

  constructor(surface: ChartSurface, unknowns: Int32Array, size: number) {
    this.#surface = surface;
    this.#unknowns = unknowns;
    this.#size = size;
    let pairs = size;
    for (let f = 0; f < surface.faces.length; f++) {
      const count = surface.faceOffsets[f + 1]! - surface.faceOffsets[f]!;
      pairs += 3 * (count - 2) * fanCount(count);
    }
    this.#rows = new Int32Array(pairs);
    this.#columns = new Int32Array(pairs);
    this.#values = new Float64Array(pairs);
    this.#diagonal = new Float64Array(size).fill(REGULARITY);
  }

  assemble() {
    const { faceOffsets, cornerVertices } = this.#surface;
    for (let f = 0; f + 1 < faceOffsets.length; f++) {
      const first = faceOffsets[f]!;
      const count = faceOffsets[f + 1]! - first;
      const fans = fanCount(count);
      for (let start = 0; start < fans; start++) {
        const apex = cornerVertices[first + start]!;
        for (let i = 1; i + 1 < count; i++) {
          const b = cornerVertices[first + ((start + i) % count)]!;
          const c = cornerVertices[first + ((start + i + 1) % count)]!;
          this.#addTriangle(apex, b, c, 0.5 / fans);
        }
      }
    }
    for (let i = 0; i < this.#size; i++) this.#push(i, i, this.#diagonal[i]!);
    const used = this.#count;
    return assembleSymmetric(
      this.#size,
      this.#rows.subarray(0, used),
      this.#columns.subarray(0, used),
      this.#values.subarray(0, used),
    );
  }

  #addTriangle(a: number, b: number, c: number, share: number): void {
    let atA = this.#cotangent(a, b, c);
    let atB = this.#cotangent(b, c, a);
    let atC = this.#cotangent(c, a, b);
    // A needle counts as an equilateral triangle: clamping its cotangents one by one would leave a form
    // that is no longer positive.
    if (!(Math.max(Math.abs(atA), Math.abs(atB), Math.abs(atC)) < NEEDLE_COTANGENT))
      atA = atB = atC = 1 / Math.sqrt(3);
    this.#addPair(b, c, share * atA);
    this.#addPair(c, a, share * atB);
    this.#addPair(a, b, share * atC);
  }

  #addPair(a: number, b: number, weight: number): void {
    const i = this.#unknowns[a]!;
    const j = this.#unknowns[b]!;
    if (i >= 0) this.#diagonal[i]! += weight;
    if (j >= 0) this.#diagonal[j]! += weight;
    if (i >= 0 && j >= 0) this.#push(i, j, -weight);
  }

  #push(row: number, column: number, value: number): void {
    this.#rows[this.#count] = row;
    this.#columns[this.#count] = column;
    this.#values[this.#count++] = value;
  }

  #cotangent(o: number, a: number, b: number): number {
    const { positions } = this.#surface;
    const x = positions[3 * o]!;
    const y = positions[3 * o + 1]!;
    const z = positions[3 * o + 2]!;
    const ux = positions[3 * a]! - x;
    const uy = positions[3 * a + 1]! - y;
    const uz = positions[3 * a + 2]! - z;
    const vx = positions[3 * b]! - x;
    const vy = positions[3 * b + 1]! - y;
    const vz = positions[3 * b + 2]! - z;
    const cx = uy * vz - uz * vy;
    const cy = uz * vx - ux * vz;
    const cz = ux * vy - uy * vx;
    return (ux * vx + uy * vy + uz * vz) / Math.sqrt(cx * cx + cy * cy + cz * cz);
  }
}

/** How many fans stand for a polygon: both of a quad, all of a small one, one of a large one. */
const fanCount = (corners: number): number =>
  corners === 3 || corners > 8 ? 1 : corners === 4 ? 2 : corners;
