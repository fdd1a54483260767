import type { RestTriangles } from '../flattening/index.js';
import type { ChartSurface } from '../mesh/index.js';
import { readShape, writeTriangleCompliance } from './predict-element.js';
import { QuadElement } from './predict-quad.js';
import { SideNumbering } from './predict-sides.js';

/** Most unknowns of an element: the potential at four corners and the force along four sides. */
export const ELEMENT_SIZE = 8;

/** The elements of a chart: a triangle or a quad each; other polygons are several. */
export interface StrainElements {
  readonly count: number;
  /** Unknowns of each element: 6 or 8. */
  readonly sizes: Uint8Array;
  /** Local vertex of each potential (first half of an element's unknowns), side of each force; ELEMENT_SIZE per element. */
  readonly places: Int32Array;
  /** −1 where a side was met before: the forces on its two elements are opposite. */
  readonly signs: Int8Array;
  /** Lower triangle in ELEMENT_SIZE² per element, rows of the element's own size. */
  readonly compliances: Float64Array;
  readonly loads: Float64Array;
  readonly ownEnergies: Float64Array;
  /** Share of the chart's area. */
  readonly weights: Float64Array;
  /** Local face of each element. */
  readonly faces: Int32Array;
  /** How many elements each side has. */
  readonly sideCounts: readonly number[];
  /** A vertex of each side. */
  readonly sideVertices: readonly number[];
  /** Sum of the angles at each local vertex. */
  readonly vertexAngles: Float64Array;
}

/** Measures every polygon of a chart. Linear in the chart's size. */
export function buildStrainElements(surface: ChartSurface, rest: RestTriangles): StrainElements {
  const builder = new ElementBuilder(surface, rest);
  for (let f = 0, t = 0; f < surface.faces.length; f++) {
    const from = t;
    while (t < rest.triangleCount && rest.triangleFaces[t] === f) t++;
    builder.addPolygon(f, from, t);
  }
  return builder.elements();
}

class ElementBuilder {
  readonly #surface: ChartSurface;
  readonly #rest: RestTriangles;
  readonly #sides: SideNumbering;
  readonly #sizes: Uint8Array;
  readonly #places: Int32Array;
  readonly #signs: Int8Array;
  readonly #compliances: Float64Array;
  readonly #loads: Float64Array;
  readonly #ownEnergies: Float64Array;
  readonly #weights: Float64Array;
  readonly #faces: Int32Array;
  readonly #vertexAngles: Float64Array;
  readonly #quad = new QuadElement();
  readonly #shape = { base: 0, foot: 0, height: 0 };
  #count = 0;

  constructor(surface: ChartSurface, rest: RestTriangles) {
    let most = 0;
    for (let t = 0; t < rest.triangleCount; t++) most += rest.isCore[t]!;
    this.#surface = surface;
    this.#rest = rest;
    this.#sides = new SideNumbering(surface.vertexCount);
    this.#sizes = new Uint8Array(most);
    this.#places = new Int32Array(ELEMENT_SIZE * most);
    this.#signs = new Int8Array(ELEMENT_SIZE * most).fill(1);
    this.#compliances = new Float64Array(ELEMENT_SIZE * ELEMENT_SIZE * most);
    this.#loads = new Float64Array(ELEMENT_SIZE * most);
    this.#ownEnergies = new Float64Array(most);
    this.#weights = new Float64Array(most);
    this.#faces = new Int32Array(most);
    this.#vertexAngles = new Float64Array(surface.vertexCount);
  }

  elements(): StrainElements {
    const count = this.#count;
    return {
      count,
      sizes: this.#sizes,
      places: this.#places,
      signs: this.#signs,
      compliances: this.#compliances,
      loads: this.#loads,
      ownEnergies: this.#ownEnergies,
      weights: this.#weights,
      faces: this.#faces,
      sideCounts: this.#sides.counts,
      sideVertices: this.#sides.lows,
      vertexAngles: this.#vertexAngles,
    };
  }

  addPolygon(face: number, from: number, to: number): void {
    const { faceOffsets } = this.#surface;
    const corners = faceOffsets[face + 1]! - faceOffsets[face]!;
    if (corners === 4 && this.#addQuad(face, from, to)) return;
    let diagonals: Map<string, number> | undefined;
    for (let t = from; t < to; t++) {
      if (!this.#rest.isCore[t]) continue;
      if (corners > 3) diagonals ??= new Map();
      this.#addTriangle(face, t, diagonals);
    }
  }

  #addTriangle(face: number, t: number, diagonals: Map<string, number> | undefined): void {
    const { triangleVertices, weights, isReplaced } = this.#rest;
    const at = ELEMENT_SIZE * this.#count;
    readShape(this.#rest, t, this.#shape);
    // Alone in its triangulation, the triangle counts by its area; one without area by the least weight.
    const isAlone = diagonals && !isReplaced[t];
    const weight = isAlone ? (this.#shape.base * this.#shape.height) / 2 : weights[t]!;
    writeTriangleCompliance(this.#shape, weight, this.#compliances, ELEMENT_SIZE * at);
    for (let k = 0; k < 3; k++) {
      const a = triangleVertices[3 * t + k]!;
      const b = triangleVertices[3 * t + (k === 2 ? 0 : k + 1)]!;
      this.#places[at + k] = a;
      this.#placeSide(
        at + 3 + k,
        diagonals ? this.#sideOrDiagonal(face, a, b, diagonals) : this.#sides.number(a, b),
      );
    }
    this.#addAngles(t, 1);
    this.#close(face, 6, weight);
  }

  #sideOrDiagonal(face: number, a: number, b: number, diagonals: Map<string, number>): number {
    const { cornerVertices, faceOffsets } = this.#surface;
    const first = faceOffsets[face]!;
    const end = faceOffsets[face + 1]!;
    for (let c = first; c < end; c++) {
      const tail = cornerVertices[c]!;
      const head = cornerVertices[c + 1 === end ? first : c + 1]!;
      if ((tail === a && head === b) || (tail === b && head === a)) return this.#sides.number(a, b);
    }
    const key = a < b ? `${a},${b}` : `${b},${a}`;
    const known = diagonals.get(key);
    if (known !== undefined) {
      this.#sides.counts[known]!++;
      return known;
    }
    const side = this.#sides.add(Math.min(a, b));
    diagonals.set(key, side);
    return side;
  }

  #placeSide(at: number, side: number): void {
    this.#places[at] = side;
    if (this.#sides.counts[side]! > 1) this.#signs[at] = -1;
  }

  #addQuad(face: number, from: number, to: number): boolean {
    const { isReplaced, isReflex, weights, shares, triangleVertices } = this.#rest;
    for (let t = from; t < to; t++) if (isReplaced[t] || isReflex[t]) return false;
    const { cornerVertices, faceOffsets } = this.#surface;
    const first = faceOffsets[face]!;
    const cornerOf = (v: number) =>
      v === cornerVertices[first]
        ? 0
        : v === cornerVertices[first + 1]
          ? 1
          : v === cornerVertices[first + 2]
            ? 2
            : 3;
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
    if (!this.#quad.finish(this.#compliances, ELEMENT_SIZE * at)) return false;
    this.#loads.set(this.#quad.load, at);
    this.#ownEnergies[this.#count] = this.#quad.ownEnergy;
    for (let k = 0; k < 4; k++) {
      const a = cornerVertices[first + k]!;
      this.#places[at + k] = a;
      this.#placeSide(at + 4 + k, this.#sides.number(a, cornerVertices[first + (k === 3 ? 0 : k + 1)]!));
    }
    for (let t = from; t < to; t++) this.#addAngles(t, shares[t]!);
    this.#close(face, 8, weight);
    return true;
  }

  #addAngles(t: number, share: number): void {
    const { triangleVertices } = this.#rest;
    readShape(this.#rest, t, this.#shape);
    const { base, foot, height } = this.#shape;
    const a = Math.atan2(height, foot);
    const b = Math.atan2(height, base - foot);
    this.#vertexAngles[triangleVertices[3 * t]!]! += share * a;
    this.#vertexAngles[triangleVertices[3 * t + 1]!]! += share * b;
    this.#vertexAngles[triangleVertices[3 * t + 2]!]! += share * (Math.PI - a - b);
  }

  #close(face: number, size: number, weight: number): void {
    this.#sizes[this.#count] = size;
    this.#weights[this.#count] = weight;
    this.#faces[this.#count++] = face;
  }
}
