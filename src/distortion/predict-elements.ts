import type { RestTriangles } from '../flattening/index.js';
import type { ChartSurface } from '../mesh/index.js';
import type { QuadTriangle, TriangleShape } from './predict-element.js';
import { QuadElement, writeTriangleCompliance, writeTriangleOperator } from './predict-element.js';
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
  /** ELEMENT_SIZE² per element, rows of the element's own size. */
  readonly compliances: Float64Array;
  readonly loads: Float64Array;
  readonly ownEnergies: Float64Array;
  /** Share of the chart's area. */
  readonly weights: Float64Array;
  /** Local face of each element. */
  readonly faces: Int32Array;
  /** How many elements each side has. */
  readonly sideCounts: readonly number[];
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
  readonly #operator = new Float64Array(18);
  #count = 0;

  constructor(surface: ChartSurface, rest: RestTriangles) {
    const most = rest.triangleCount;
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
      vertexAngles: this.#vertexAngles,
    };
  }

  addPolygon(face: number, from: number, to: number): void {
    const { cornerVertices, faceOffsets } = this.#surface;
    const corners = cornerVertices.subarray(faceOffsets[face]!, faceOffsets[face + 1]!);
    if (corners.length === 4 && this.#addQuad(face, corners, from, to)) return;
    const diagonals = new Map<string, number>();
    for (let t = from; t < to; t++)
      if (this.#rest.isCore[t]) this.#addTriangle(face, corners, t, diagonals);
  }

  #addTriangle(face: number, corners: Int32Array, t: number, diagonals: Map<string, number>): void {
    const { triangleVertices, weights, shares } = this.#rest;
    const at = ELEMENT_SIZE * this.#count;
    const weight = weights[t]! / shares[t]!;
    const shape = shapeOf(this.#rest, t);
    writeTriangleOperator(shape, this.#operator);
    writeTriangleCompliance(
      this.#operator,
      weight,
      this.#compliances.subarray(ELEMENT_SIZE * at, ELEMENT_SIZE * at + 36),
    );
    for (let k = 0; k < 3; k++) {
      const a = triangleVertices[3 * t + k]!;
      const b = triangleVertices[3 * t + ((k + 1) % 3)]!;
      this.#places[at + k] = a;
      const side = isSideOf(corners, a, b) ? this.#sides.number(a, b) : this.#diagonal(diagonals, a, b);
      this.#placeSide(at + 3 + k, side);
    }
    this.#addAngles(shape, triangleVertices.subarray(3 * t, 3 * t + 3), 1);
    this.#close(face, 6, weight);
  }

  #diagonal(diagonals: Map<string, number>, a: number, b: number): number {
    const key = a < b ? `${a},${b}` : `${b},${a}`;
    const known = diagonals.get(key);
    if (known !== undefined) {
      this.#sides.counts[known]!++;
      return known;
    }
    const side = this.#sides.add();
    diagonals.set(key, side);
    return side;
  }

  #placeSide(at: number, side: number): void {
    this.#places[at] = side;
    this.#signs[at] = this.#sides.counts[side]! > 1 ? -1 : 1;
  }

  #addQuad(face: number, corners: Int32Array, from: number, to: number): boolean {
    const { isReplaced, isReflex, triangleVertices, weights, shares } = this.#rest;
    const triangles: QuadTriangle[] = [];
    let weight = 0;
    for (let t = from; t < to; t++) {
      if (isReplaced[t] || isReflex[t]) return false;
      const [i, j, k] = [0, 1, 2].map((c) => corners.indexOf(triangleVertices[3 * t + c]!));
      weight += weights[t]!;
      triangles.push({ ...shapeOf(this.#rest, t), corners: [i!, j!, k!], weight: weights[t]!, share: shares[t]! });
    }
    if (!this.#quad.compute(triangles)) return false;
    const at = ELEMENT_SIZE * this.#count;
    this.#compliances.set(this.#quad.compliance, ELEMENT_SIZE * at);
    this.#loads.set(this.#quad.load, at);
    this.#ownEnergies[this.#count] = this.#quad.ownEnergy;
    for (let k = 0; k < 4; k++) {
      this.#places[at + k] = corners[k]!;
      this.#placeSide(at + 4 + k, this.#sides.number(corners[k]!, corners[(k + 1) % 4]!));
    }
    for (const triangle of triangles) {
      this.#addAngles(
        triangle,
        triangle.corners.map((c) => corners[c]!),
        triangle.share,
      );
    }
    this.#close(face, 8, weight);
    return true;
  }

  #addAngles({ base, foot, height }: TriangleShape, vertices: ArrayLike<number>, share: number): void {
    const a = Math.atan2(height, foot);
    const b = Math.atan2(height, base - foot);
    this.#vertexAngles[vertices[0]!]! += share * a;
    this.#vertexAngles[vertices[1]!]! += share * b;
    this.#vertexAngles[vertices[2]!]! += share * (Math.PI - a - b);
  }

  #close(face: number, size: number, weight: number): void {
    this.#sizes[this.#count] = size;
    this.#weights[this.#count] = weight;
    this.#faces[this.#count++] = face;
  }
}

function shapeOf(rest: RestTriangles, t: number): TriangleShape {
  const base = 1 / rest.inverses[3 * t]!;
  const height = 1 / rest.inverses[3 * t + 2]!;
  return { base, height, foot: -rest.inverses[3 * t + 1]! * base * height };
}

function isSideOf(corners: Int32Array, a: number, b: number): boolean {
  const i = corners.indexOf(a);
  const j = corners.indexOf(b);
  const step = (j - i + corners.length) % corners.length;
  return step === 1 || step === corners.length - 1;
}
