import type { SymmetricMatrix } from '../linalg/index.js';
import { assembleSymmetric } from '../linalg/index.js';
import type { Mesh } from '../mesh/index.js';

/** Triangles with an angle below about a third of a degree are needles. */
const NEEDLE_COTANGENT = 200;
/** Keeps the matrix regular where weights vanish. */
const REGULARITY = 1e-9;

/**
 * Cotangent Laplacian of all vertices of a mesh; a polygon counts as the mean of its fans. The rows of the
 * vertices inside a chart are the same before and after cutting, so one matrix serves every choice of seams.
 */
export function buildMeshLaplacian(mesh: Mesh): SymmetricMatrix {
  return new LaplacianAssembler(mesh).assemble();
}

class LaplacianAssembler {
  readonly #mesh: Mesh;
  readonly #rows: Int32Array;
  readonly #columns: Int32Array;
  readonly #values: Float64Array;
  readonly #diagonal: Float64Array;
  #count = 0;

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
    let pairs = mesh.vertexCount;
    for (let f = 0; f < mesh.faceCount; f++) {
      const count = mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!;
      pairs += 3 * (count - 2) * fanCount(count);
    }
    this.#rows = new Int32Array(pairs);
    this.#columns = new Int32Array(pairs);
    this.#values = new Float64Array(pairs);
    this.#diagonal = new Float64Array(mesh.vertexCount).fill(REGULARITY);
  }

  assemble(): SymmetricMatrix {
    const { faceCount, faceOffsets, cornerVertices, next, vertexCount } = this.#mesh;
    const polygon: number[] = [];
    for (let f = 0; f < faceCount; f++) {
      const count = faceOffsets[f + 1]! - faceOffsets[f]!;
      let h = faceOffsets[f]!;
      for (let i = 0; i < count; i++, h = next[h]!) polygon[i] = cornerVertices[h]!;
      const fans = fanCount(count);
      for (let start = 0; start < fans; start++) {
        for (let i = 1; i + 1 < count; i++) {
          const b = polygon[(start + i) % count]!;
          const c = polygon[(start + i + 1) % count]!;
          this.#addTriangle(polygon[start]!, b, c, 0.5 / fans);
        }
      }
    }
    for (let v = 0; v < vertexCount; v++) this.#push(v, v, this.#diagonal[v]!);
    const used = this.#count;
    return assembleSymmetric(
      vertexCount,
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
    this.#diagonal[a]! += weight;
    this.#diagonal[b]! += weight;
    this.#push(a, b, -weight);
  }

  #push(row: number, column: number, value: number): void {
    this.#rows[this.#count] = row;
    this.#columns[this.#count] = column;
    this.#values[this.#count++] = value;
  }

  #cotangent(o: number, a: number, b: number): number {
    const { points, vertexPoints } = this.#mesh;
    const po = 3 * vertexPoints[o]!;
    const pa = 3 * vertexPoints[a]!;
    const pb = 3 * vertexPoints[b]!;
    const x = points[po]!;
    const y = points[po + 1]!;
    const z = points[po + 2]!;
    const ux = points[pa]! - x;
    const uy = points[pa + 1]! - y;
    const uz = points[pa + 2]! - z;
    const vx = points[pb]! - x;
    const vy = points[pb + 1]! - y;
    const vz = points[pb + 2]! - z;
    const cx = uy * vz - uz * vy;
    const cy = uz * vx - ux * vz;
    const cz = ux * vy - uy * vx;
    return (ux * vx + uy * vy + uz * vz) / Math.sqrt(cx * cx + cy * cy + cz * cz);
  }
}

/** How many fans stand for a polygon: both of a quad, all of a small one, one of a large one. */
const fanCount = (corners: number): number =>
  corners === 3 || corners > 8 ? 1 : corners === 4 ? 2 : corners;
