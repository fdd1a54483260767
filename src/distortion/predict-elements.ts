import type { FaceElements } from '../elements/index.js';
import type { RestTriangles } from '../flattening/index.js';
import { restOfMesh } from '../flattening/index.js';
import type { Mesh } from '../mesh/index.js';
import { orientedCorners } from '../mesh/index.js';
import { readShape, writeTriangleCompliance } from './predict-element.js';
import { QuadElement } from './predict-quad.js';

/** Most unknowns of an element: the potential at four corners and the force along four sides. */
export const ELEMENT_SIZE = 8;
/** Entries of the lower triangle of an element's compliance, row by row. */
export const FORM_SIZE = (ELEMENT_SIZE * (ELEMENT_SIZE + 1)) / 2;

/**
 * The elements of a mesh: a triangle or a quad each; other polygons are several. Unknowns are the potential at vertices,
 * and the force along edges and along diagonals within polygons, which is opposite on the two elements of a side. Forms
 * are compliances.
 */
export interface StrainElements extends FaceElements {
  readonly ownEnergies: Float64Array;
  /** Share of the mesh's area. */
  readonly weights: Float64Array;
  /** Right-hand side of each unknown: of vertices, 2π less the angles round them, radians, and what quads' misfit adds. */
  readonly rights: Float64Array;
  /** Of the mesh, squared model units. */
  readonly area: number;
}

/** Measures every polygon of a mesh. Linear in the mesh's size. */
export function buildStrainElements(mesh: Mesh): StrainElements {
  const rest = restOfMesh(mesh);
  const builder = new ElementBuilder(mesh, rest);
  for (let f = 0, t = 0; f < mesh.faceCount; f++) {
    const from = t;
    while (t < rest.triangleCount && rest.triangleFaces[t] === f) t++;
    builder.addPolygon(f, from, t);
  }
  return builder.elements();
}

class ElementBuilder {
  readonly #mesh: Mesh;
  /** Walked corners, the faces' offsets being the mesh's. */
  readonly #corners: Int32Array;
  readonly #rest: RestTriangles;
  readonly #faceOffsets: Int32Array;
  readonly #sizes: Uint8Array;
  readonly #places: Int32Array;
  readonly #signs: Int8Array;
  readonly #forms: Float64Array;
  readonly #ownEnergies: Float64Array;
  readonly #weights: Float64Array;
  readonly #rights: Float64Array;
  readonly #quad = new QuadElement();
  readonly #shape = { base: 0, foot: 0, height: 0 };
  #unknownCount: number;
  #count = 0;

  constructor(mesh: Mesh, rest: RestTriangles) {
    let most = 0;
    for (let t = 0; t < rest.triangleCount; t++) most += rest.isCore[t]!;
    this.#mesh = mesh;
    this.#corners = orientedCorners(mesh);
    this.#rest = rest;
    this.#faceOffsets = new Int32Array(mesh.faceCount + 1);
    this.#sizes = new Uint8Array(most);
    this.#places = new Int32Array(ELEMENT_SIZE * most);
    this.#signs = new Int8Array(ELEMENT_SIZE * most).fill(1);
    this.#forms = new Float64Array(FORM_SIZE * most);
    this.#ownEnergies = new Float64Array(most);
    this.#weights = new Float64Array(most);
    this.#unknownCount = mesh.vertexCount + mesh.edgeCount;
    this.#rights = new Float64Array(this.#unknownCount).fill(2 * Math.PI, 0, mesh.vertexCount);
  }

  elements(): StrainElements {
    return {
      faceOffsets: this.#faceOffsets,
      elementSize: ELEMENT_SIZE,
      sizes: this.#sizes,
      places: this.#places,
      signs: this.#signs,
      forms: this.#forms,
      ownEnergies: this.#ownEnergies,
      weights: this.#weights,
      unknownCount: this.#unknownCount,
      rights: this.#rights,
      area: this.#rest.unit ** 2,
    };
  }

  addPolygon(face: number, from: number, to: number): void {
    const { faceOffsets } = this.#mesh;
    const cornerCount = faceOffsets[face + 1]! - faceOffsets[face]!;
    if (cornerCount !== 4 || !this.#addQuad(face, from, to)) {
      let diagonals: Map<string, number> | undefined;
      for (let t = from; t < to; t++) {
        if (!this.#rest.isCore[t]) continue;
        if (cornerCount > 3) diagonals ??= new Map();
        this.#addTriangle(face, t, diagonals);
      }
    }
    this.#faceOffsets[face + 1] = this.#count;
  }

  #addTriangle(face: number, t: number, diagonals: Map<string, number> | undefined): void {
    const { triangleVertices, weights, isReplaced } = this.#rest;
    const at = ELEMENT_SIZE * this.#count;
    readShape(this.#rest, t, this.#shape);
    // Alone in its triangulation, the triangle counts by its area; one without area by the least weight.
    const isAlone = diagonals && !isReplaced[t];
    const weight = isAlone ? (this.#shape.base * this.#shape.height) / 2 : weights[t]!;
    writeTriangleCompliance(this.#shape, weight, this.#forms, FORM_SIZE * this.#count);
    const first = this.#mesh.faceOffsets[face]!;
    for (let k = 0; k < 3; k++) {
      const a = triangleVertices[3 * t + k]!;
      this.#places[at + k] = a;
      if (diagonals)
        this.#placeSideOrDiagonal(
          at + 3 + k,
          face,
          a,
          triangleVertices[3 * t + (k === 2 ? 0 : k + 1)]!,
          diagonals,
        );
      else this.#placeSide(at + 3 + k, this.#corners[first + k]!);
    }
    this.#addAngles(t, 1);
    this.#close(6, weight);
  }

  #placeSide(at: number, halfEdge: number): void {
    const edge = this.#mesh.halfEdgeEdges[halfEdge]!;
    this.#places[at] = this.#mesh.vertexCount + edge;
    if (this.#mesh.edgeHalfEdges[edge] !== halfEdge) this.#signs[at] = -1;
  }

  #placeSideOrDiagonal(at: number, face: number, a: number, b: number, diagonals: Map<string, number>): void {
    const { faceOffsets, cornerVertices, next } = this.#mesh;
    for (let h = faceOffsets[face]!; h < faceOffsets[face + 1]!; h++) {
      const tail = cornerVertices[h]!;
      const head = cornerVertices[next[h]!]!;
      if ((tail === a && head === b) || (tail === b && head === a)) {
        this.#placeSide(at, h);
        return;
      }
    }
    const key = a < b ? `${a},${b}` : `${b},${a}`;
    const known = diagonals.get(key);
    if (known !== undefined) this.#signs[at] = -1;
    const side = known ?? this.#unknownCount++;
    diagonals.set(key, side);
    this.#places[at] = side;
  }

  #addQuad(face: number, from: number, to: number): boolean {
    const { isReplaced, isReflex, weights, shares, triangleVertices } = this.#rest;
    for (let t = from; t < to; t++) if (isReplaced[t] || isReflex[t]) return false;
    const { cornerVertices, faceOffsets } = this.#mesh;
    const first = faceOffsets[face]!;
    const vertexAt = (k: number) => cornerVertices[this.#corners[first + k]!]!;
    const cornerOf = (v: number) =>
      v === vertexAt(0) ? 0 : v === vertexAt(1) ? 1 : v === vertexAt(2) ? 2 : 3;
    this.#quad.begin();
    let weight = 0;
    for (let t = from; t < to; t++) {
      readShape(this.#rest, t, this.#shape);
      const i = cornerOf(triangleVertices[3 * t]!);
      const j = cornerOf(triangleVertices[3 * t + 1]!);
      const k = cornerOf(triangleVertices[3 * t + 2]!);
      this.#quad.addTriangle(this.#shape, i, j, k, weights[t]!, shares[t]!);
      weight += weights[t]!;
    }
    const at = ELEMENT_SIZE * this.#count;
    if (!this.#quad.finish(this.#forms, FORM_SIZE * this.#count)) return false;
    this.#ownEnergies[this.#count] = this.#quad.ownEnergy;
    for (let k = 0; k < 4; k++) {
      this.#places[at + k] = vertexAt(k);
      this.#placeSide(at + 4 + k, this.#corners[first + k]!);
    }
    for (let i = 0; i < ELEMENT_SIZE; i++)
      this.#rights[this.#places[at + i]!]! += this.#signs[at + i]! * this.#quad.load[i]!;
    for (let t = from; t < to; t++) this.#addAngles(t, shares[t]!);
    this.#close(8, weight);
    return true;
  }

  #addAngles(t: number, share: number): void {
    const { triangleVertices } = this.#rest;
    readShape(this.#rest, t, this.#shape);
    const { base, foot, height } = this.#shape;
    const a = Math.atan2(height, foot);
    const b = Math.atan2(height, base - foot);
    this.#rights[triangleVertices[3 * t]!]! -= share * a;
    this.#rights[triangleVertices[3 * t + 1]!]! -= share * b;
    this.#rights[triangleVertices[3 * t + 2]!]! -= share * (Math.PI - a - b);
  }

  #close(size: number, weight: number): void {
    this.#sizes[this.#count] = size;
    this.#weights[this.#count++] = weight;
  }
}
