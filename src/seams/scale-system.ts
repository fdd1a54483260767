import type { SymmetricMatrix } from '../linalg/index.js';
import { analyse, LdlSolver } from '../linalg/index.js';

/**
 * Solves for the logarithm of the conformal scale in a chart, 0 on its border: Δu = K, K the angle defect; e^u is
 * the scale of the conformal map whose border keeps its length (Ben-Chen, Gotsman & Bunin 2008, "Conformal
 * flattening by curvature prescription and metric scaling").
 *
 * The pattern is analysed once for the faces of a chart. Seams that are drawn within it later hold their
 * vertices at 0 and leave the pattern as it is: analysing costs five times as much as factoring.
 */
export class ScaleSystem {
  /** Vertices inside the outline of the chart, ascending. */
  readonly vertices: Int32Array;
  readonly #columnOffsets: Int32Array;
  readonly #entryRows: Int32Array;
  readonly #values: Float64Array;
  readonly #solver: LdlSolver;

  /**
   * @param laplacian - of the whole mesh
   * @param unknowns - scratch, one per vertex of the mesh
   */
  constructor(laplacian: SymmetricMatrix, vertices: Int32Array, unknowns: Int32Array) {
    const size = vertices.length;
    unknowns.fill(-1);
    for (let i = 0; i < size; i++) unknowns[vertices[i]!] = i;
    const columnOffsets = new Int32Array(size + 1);
    let count = 0;
    for (const v of vertices) count += laplacian.columnOffsets[v + 1]! - laplacian.columnOffsets[v]!;
    const entryRows = new Int32Array(count);
    const values = new Float64Array(count);
    count = 0;
    for (let j = 0; j < size; j++) {
      const v = vertices[j]!;
      for (let p = laplacian.columnOffsets[v]!; p < laplacian.columnOffsets[v + 1]!; p++) {
        const row = unknowns[laplacian.entryRows[p]!]!;
        if (row < 0) continue;
        entryRows[count] = row;
        values[count++] = laplacian.values[p]!;
      }
      columnOffsets[j + 1] = count;
    }
    this.vertices = vertices;
    this.#columnOffsets = columnOffsets;
    this.#entryRows = entryRows.slice(0, count);
    this.#values = values.slice(0, count);
    this.#solver = new LdlSolver(analyse({ size, columnOffsets, entryRows: this.#entryRows }));
  }

  /** Numbers that the factor holds, as a measure of memory. */
  get entryCount(): number {
    return this.#solver.symbolic.factorEntryCount;
  }

  /**
   * Log scale at each of `vertices`.
   *
   * @param isFixed - 1 per vertex of the mesh on a seam or border
   * @param defects - angle defect per vertex of the mesh, radians
   */
  solve(isFixed: Uint8Array, defects: Float64Array): Float64Array {
    const { vertices } = this;
    const values = this.#values.slice();
    const right = new Float64Array(vertices.length);
    for (let j = 0; j < vertices.length; j++) {
      const isHeld = isFixed[vertices[j]!] === 1;
      const first = this.#columnOffsets[j]!;
      if (isHeld) values[first] = 1;
      else right[j] = defects[vertices[j]!]!;
      for (let p = first + 1; p < this.#columnOffsets[j + 1]!; p++)
        if (isHeld || isFixed[vertices[this.#entryRows[p]!]!] === 1) values[p] = 0;
    }
    return this.#solver.factor(values).solve(right);
  }
}
