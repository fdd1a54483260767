import type { FaceElements } from '../elements/index.js';
import type { Mesh, VertexId } from '../mesh/index.js';

/** Triangles with an angle below about a third of a degree are needles. */
const NEEDLE_COTANGENT = 200;
const ELEMENT_SIZE = 4;
const FORM_SIZE = (ELEMENT_SIZE * (ELEMENT_SIZE + 1)) / 2;

/**
 * Cotangent Laplacian of the faces of a mesh; a polygon counts as the mean of its fans. A triangle or a quad is one
 * element, what has more corners is one for each triangle of its fans.
 */
export function buildLaplacianElements(mesh: Mesh): FaceElements {
  return new LaplacianBuilder(mesh).build();
}

class LaplacianBuilder {
  readonly #mesh: Mesh;
  readonly #faceOffsets: Int32Array;
  readonly #sizes: Uint8Array;
  readonly #places: Int32Array;
  readonly #forms: Float64Array;

  constructor(mesh: Mesh) {
    this.#mesh = mesh;
    this.#faceOffsets = new Int32Array(mesh.faceCount + 1);
    for (let f = 0; f < mesh.faceCount; f++) {
      const count = mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!;
      this.#faceOffsets[f + 1] = this.#faceOffsets[f]! + (count > 4 ? fanCount(count) * (count - 2) : 1);
    }
    const elementCount = this.#faceOffsets[mesh.faceCount]!;
    this.#sizes = new Uint8Array(elementCount).fill(3);
    this.#places = new Int32Array(ELEMENT_SIZE * elementCount);
    this.#forms = new Float64Array(FORM_SIZE * elementCount);
  }

  build(): FaceElements {
    const { faceCount, faceOffsets, cornerVertices, next, vertexCount } = this.#mesh;
    const polygon: VertexId[] = [];
    for (let f = 0; f < faceCount; f++) {
      const count = faceOffsets[f + 1]! - faceOffsets[f]!;
      let h = faceOffsets[f]!;
      for (let i = 0; i < count; i++, h = next[h]!) polygon[i] = cornerVertices[h]!;
      let element = this.#faceOffsets[f]!;
      if (count <= ELEMENT_SIZE) {
        this.#sizes[element] = count;
        for (let i = 0; i < count; i++) this.#places[ELEMENT_SIZE * element + i] = polygon[i]!;
      }
      const fans = fanCount(count);
      for (let start = 0; start < fans; start++)
        for (let i = 1; i + 1 < count; i++) {
          const corners = [start, (start + i) % count, (start + i + 1) % count];
          if (count > ELEMENT_SIZE)
            for (const [k, corner] of corners.entries())
              this.#places[ELEMENT_SIZE * element + k] = polygon[corner]!;
          const [a, b, c] = (count > ELEMENT_SIZE ? [0, 1, 2] : corners) as [number, number, number];
          this.#addTriangle(element, a, b, c, 0.5 / fans);
          if (count > ELEMENT_SIZE) element++;
        }
    }
    return {
      faceOffsets: this.#faceOffsets,
      elementSize: ELEMENT_SIZE,
      sizes: this.#sizes,
      places: this.#places,
      signs: new Int8Array(this.#places.length).fill(1),
      forms: this.#forms,
      unknownCount: vertexCount,
    };
  }

  /** @param a, b, c - corners of the element */
  #addTriangle(element: number, a: number, b: number, c: number, share: number): void {
    let atA = this.#cotangent(element, a, b, c);
    let atB = this.#cotangent(element, b, c, a);
    let atC = this.#cotangent(element, c, a, b);
    // A needle counts as an equilateral triangle: clamping its cotangents one by one would leave a form
    // that is no longer positive.
    if (!(Math.max(Math.abs(atA), Math.abs(atB), Math.abs(atC)) < NEEDLE_COTANGENT))
      atA = atB = atC = 1 / Math.sqrt(3);
    this.#addPair(element, b, c, share * atA);
    this.#addPair(element, c, a, share * atB);
    this.#addPair(element, a, b, share * atC);
  }

  #addPair(element: number, a: number, b: number, weight: number): void {
    const add = (row: number, column: number, value: number) => {
      this.#forms[FORM_SIZE * element + (row * (row + 1)) / 2 + column]! += value;
    };
    add(a, a, weight);
    add(b, b, weight);
    add(Math.max(a, b), Math.min(a, b), -weight);
  }

  #cotangent(element: number, o: number, a: number, b: number): number {
    const { points, vertexPoints } = this.#mesh;
    const at = (corner: number) => 3 * vertexPoints[this.#places[ELEMENT_SIZE * element + corner]!]!;
    const po = at(o);
    const pa = at(a);
    const pb = at(b);
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
