import type { Vec3 } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry, edgeFaces, edgeVertices } from '../mesh/index.js';
import type { DepthView } from './depth-view.js';

/** A face is seen when its normal and the direction to the viewer have at least this cosine. */
const FACING_COSINE = 0.02;
/** A surface hides what lies farther behind it than this share of the model's diagonal. */
const DEPTH_TOLERANCE = 2e-3;
/**
 * A slanted surface comes nearer within the pixels round a sample, by about this many pixels over its cosine,
 * which must not hide it; at most MAX_SLOPE_PIXELS. Mean error of edges against ray casts on three bodies at 512
 * pixels: 0.048..0.063 without, 0.014..0.024 with 0.5 and 4, 0.008..0.036 with 0.7 and 50.
 */
const SLOPE_PIXELS = 0.5;
const MAX_SLOPE_PIXELS = 6;

/**
 * The places whose exposure is measured: all face centroids, then all edge midpoints, then all vertices.
 * One flat list, so that one loop serves the three.
 */
export class ExposureSamples {
  readonly count: number;
  readonly #mesh: Mesh;
  readonly #faceNormals: Float64Array;
  readonly #edgeEnds: Int32Array;
  readonly #edgeFaces: Int32Array;
  readonly #faceCosines: Float64Array;
  readonly #x: Float64Array;
  readonly #y: Float64Array;
  readonly #depths: Float64Array;
  /** Greatest and least cosine of the place's faces to the direction. */
  readonly #greatest: Float64Array;
  readonly #least: Float64Array;
  readonly #tolerance: number;

  constructor(mesh: Mesh, coveredFaces?: Uint8Array) {
    this.count = mesh.faceCount + mesh.edgeCount + mesh.vertexCount;
    this.#mesh = mesh;
    this.#tolerance = DEPTH_TOLERANCE * mesh.diagonal;
    this.#faceNormals = computeFaceGeometry(mesh).faceNormals;
    // Without a normal a face turns to no direction, so it is never seen.
    if (coveredFaces)
      for (let f = 0; f < mesh.faceCount; f++)
        if (coveredFaces[f]) this.#faceNormals.fill(0, 3 * f, 3 * f + 3);
    this.#edgeEnds = new Int32Array(2 * mesh.edgeCount);
    this.#edgeFaces = new Int32Array(2 * mesh.edgeCount);
    for (let e = 0; e < mesh.edgeCount; e++) {
      const [a, b] = edgeVertices(mesh, e);
      const [f, g] = edgeFaces(mesh, e);
      this.#edgeEnds[2 * e] = a;
      this.#edgeEnds[2 * e + 1] = b;
      this.#edgeFaces[2 * e] = f;
      this.#edgeFaces[2 * e + 1] = g < 0 ? f : g;
    }
    this.#faceCosines = new Float64Array(mesh.faceCount);
    this.#x = new Float64Array(this.count);
    this.#y = new Float64Array(this.count);
    this.#depths = new Float64Array(this.count);
    this.#greatest = new Float64Array(this.count);
    this.#least = new Float64Array(this.count);
  }

  /** Places the samples on the raster of a view that was drawn along `direction`. */
  project(view: DepthView, direction: Vec3): void {
    this.#projectFaces(view, direction);
    this.#projectEdges(view);
    this.#projectVertices(view);
  }

  #projectFaces(view: DepthView, [dx, dy, dz]: Vec3): void {
    const { faceCount, faceOffsets, cornerVertices } = this.#mesh;
    const { vertexX, vertexY, vertexDepths } = view;
    const normals = this.#faceNormals;
    for (let f = 0; f < faceCount; f++) {
      const first = faceOffsets[f]!;
      const end = faceOffsets[f + 1]!;
      let x = 0;
      let y = 0;
      let depth = 0;
      for (let c = first; c < end; c++) {
        const v = cornerVertices[c]!;
        x += vertexX[v]!;
        y += vertexY[v]!;
        depth += vertexDepths[v]!;
      }
      const inverse = 1 / (end - first);
      this.#x[f] = x * inverse;
      this.#y[f] = y * inverse;
      this.#depths[f] = depth * inverse;
      const cosine = normals[3 * f]! * dx + normals[3 * f + 1]! * dy + normals[3 * f + 2]! * dz;
      this.#faceCosines[f] = cosine;
      this.#greatest[f] = cosine;
      this.#least[f] = cosine;
    }
  }

  #projectEdges(view: DepthView): void {
    const { faceCount, edgeCount } = this.#mesh;
    const { vertexX, vertexY, vertexDepths } = view;
    const ends = this.#edgeEnds;
    const sides = this.#edgeFaces;
    const cosines = this.#faceCosines;
    for (let e = 0; e < edgeCount; e++) {
      const a = ends[2 * e]!;
      const b = ends[2 * e + 1]!;
      const i = faceCount + e;
      this.#x[i] = (vertexX[a]! + vertexX[b]!) / 2;
      this.#y[i] = (vertexY[a]! + vertexY[b]!) / 2;
      this.#depths[i] = (vertexDepths[a]! + vertexDepths[b]!) / 2;
      const first = cosines[sides[2 * e]!]!;
      const second = cosines[sides[2 * e + 1]!]!;
      this.#greatest[i] = Math.max(first, second);
      this.#least[i] = Math.min(first, second);
    }
  }

  #projectVertices(view: DepthView): void {
    const { faceCount, edgeCount, vertexCount, cornerCount, cornerVertices, cornerFaces } = this.#mesh;
    const base = faceCount + edgeCount;
    const greatest = this.#greatest.subarray(base);
    const least = this.#least.subarray(base);
    this.#x.set(view.vertexX, base);
    this.#y.set(view.vertexY, base);
    this.#depths.set(view.vertexDepths, base);
    for (let v = 0; v < vertexCount; v++) {
      greatest[v] = -1;
      least[v] = 1;
    }
    const cosines = this.#faceCosines;
    for (let c = 0; c < cornerCount; c++) {
      const v = cornerVertices[c]!;
      const cosine = cosines[cornerFaces[c]!]!;
      if (cosine > greatest[v]!) greatest[v] = cosine;
      if (cosine < least[v]!) least[v] = cosine;
    }
  }

  /** Adds the weights, one per sum, to every sample as far as it is seen from one end of the view's axis. */
  addSeen(view: DepthView, isFar: boolean, weights: readonly number[], sums: readonly Float64Array[]): void {
    const buffer = isFar ? view.far : view.near;
    const sign = isFar ? -1 : 1;
    const cosines = isFar ? this.#least : this.#greatest;
    const x = this.#x;
    const y = this.#y;
    const depths = this.#depths;
    const { resolution, pixelSize } = view;
    const tolerance = this.#tolerance;
    const active = weights.map((weight, k) => ({ weight, sum: sums[k]! })).filter(({ weight }) => weight > 0);
    for (let i = 0; i < this.count; i++) {
      const cosine = sign * cosines[i]!;
      if (cosine <= FACING_COSINE) continue;
      const column = Math.floor(x[i]!);
      const row = Math.floor(y[i]!);
      const right = x[i]! - column;
      const above = y[i]! - row;
      const slope = Math.min(SLOPE_PIXELS / cosine, MAX_SLOPE_PIXELS);
      const limit = sign * depths[i]! + tolerance + slope * pixelSize;
      const pixel = row * resolution + column;
      let seen = 0;
      if (buffer[pixel]! <= limit) seen += (1 - right) * (1 - above);
      if (buffer[pixel + 1]! <= limit) seen += right * (1 - above);
      if (buffer[pixel + resolution]! <= limit) seen += (1 - right) * above;
      if (buffer[pixel + resolution + 1]! <= limit) seen += right * above;
      if (seen === 0) continue;
      for (let k = 0; k < active.length; k++) active[k]!.sum[i]! += seen * active[k]!.weight;
    }
  }
}
