import { ShapeUtils, Vector2 } from 'three';
import type { ReviewModel } from '../review/review-model.js';

/** An edge as the page needs it: its two points, and the corners it leaves from on each side. */
export interface PageEdge {
  readonly a: number;
  readonly b: number;
  readonly corners: readonly number[];
}

/** The model turned so that it stands up in +y, looks to +z, is centred, and has radius 1. */
export class PageMesh {
  readonly pointCount: number;
  readonly faceCount: number;
  readonly cornerPoints: Int32Array;
  readonly faceOffsets: Int32Array;
  readonly cornerFaces: Int32Array;
  /** xyz of every point. */
  readonly positions: Float32Array;
  /** Page units for each model unit. */
  readonly scale: number;
  /** Corners, 3 for each triangle. */
  readonly triangles: Int32Array;
  #edges: Map<number, PageEdge> | undefined;
  #pointEdges: Map<number, PageEdge[]> | undefined;

  constructor(model: ReviewModel) {
    const { faceVertexCounts, faceVertexIndices } = model;
    this.pointCount = model.points.length / 3;
    this.faceCount = faceVertexCounts.length;
    this.cornerPoints = faceVertexIndices;
    this.faceOffsets = new Int32Array(this.faceCount + 1);
    this.cornerFaces = new Int32Array(faceVertexIndices.length);
    for (let f = 0; f < this.faceCount; f++) {
      this.faceOffsets[f + 1] = this.faceOffsets[f]! + faceVertexCounts[f]!;
      this.cornerFaces.fill(f, this.faceOffsets[f]!, this.faceOffsets[f + 1]!);
    }
    [this.positions, this.scale] = turnUpright(model);
    this.triangles = triangulate(this);
  }

  /** The next corner round the face, in the caller's order. */
  nextCorner(corner: number): number {
    const f = this.cornerFaces[corner]!;
    return corner + 1 === this.faceOffsets[f + 1] ? this.faceOffsets[f]! : corner + 1;
  }

  /** Smooth normals of the points, 3 × pointCount. */
  computeNormals(): Float32Array {
    const normals = new Float32Array(3 * this.pointCount);
    const { positions, triangles, cornerPoints } = this;
    for (let t = 0; t < triangles.length; t += 3) {
      const [p, q, r] = [0, 1, 2].map((k) => 3 * cornerPoints[triangles[t + k]!]!) as [
        number,
        number,
        number,
      ];
      const n = triangleNormal(positions, p, q, r);
      for (const i of [p, q, r]) for (let k = 0; k < 3; k++) normals[i + k]! += n[k]!;
    }
    for (let i = 0; i < normals.length; i += 3) {
      const length = Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!) || 1;
      for (let k = 0; k < 3; k++) normals[i + k]! /= length;
    }
    return normals;
  }

  /** The edge that leaves a corner. */
  edgeAt(corner: number): PageEdge {
    return this.findEdge(this.cornerPoints[corner]!, this.cornerPoints[this.nextCorner(corner)]!)!;
  }

  /** The edge between two points, if there is one. */
  findEdge(a: number, b: number): PageEdge | undefined {
    return this.#edgeMap().get(this.#key(a, b));
  }

  /** The edge and all that follow it straight on over points where four edges meet. */
  findLoop(edge: PageEdge): PageEdge[] {
    const loop = new Set([edge]);
    for (const start of [edge.a, edge.b]) {
      let at = edge;
      let point = start;
      for (
        let next = this.#straightOn(at, point);
        next && !loop.has(next);
        next = this.#straightOn(at, point)
      ) {
        loop.add(next);
        point = next.a === point ? next.b : next.a;
        at = next;
      }
    }
    return [...loop];
  }

  #straightOn(edge: PageEdge, point: number): PageEdge | undefined {
    this.#edgeMap();
    const around = this.#pointEdges!.get(point) ?? [];
    if (around.length !== 4) return undefined;
    const faces = new Set(edge.corners.map((c) => this.cornerFaces[c]!));
    return around.find((e) => e !== edge && !e.corners.some((c) => faces.has(this.cornerFaces[c]!)));
  }

  #key(a: number, b: number): number {
    return a < b ? a * this.pointCount + b : b * this.pointCount + a;
  }

  /** Built on the first mark: looking around needs no edges. */
  #edgeMap(): Map<number, PageEdge> {
    if (this.#edges) return this.#edges;
    const edges = new Map<number, { a: number; b: number; corners: number[] }>();
    const pointEdges = new Map<number, PageEdge[]>();
    for (let c = 0; c < this.cornerPoints.length; c++) {
      const a = this.cornerPoints[c]!;
      const b = this.cornerPoints[this.nextCorner(c)]!;
      const known = edges.get(this.#key(a, b));
      if (known) known.corners.push(c);
      else {
        const edge = { a, b, corners: [c] };
        edges.set(this.#key(a, b), edge);
        for (const p of [a, b]) {
          const list = pointEdges.get(p);
          if (list) list.push(edge);
          else pointEdges.set(p, [edge]);
        }
      }
    }
    this.#edges = edges;
    this.#pointEdges = pointEdges;
    return edges;
  }
}

function turnUpright({ points, up, front }: ReviewModel): [Float32Array, number] {
  const side = [
    up[1] * front[2] - up[2] * front[1],
    up[2] * front[0] - up[0] * front[2],
    up[0] * front[1] - up[1] * front[0],
  ];
  const axes = [side, up, front];
  const turned = new Float32Array(points.length);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const axis = axes[k]!;
      const value = points[i]! * axis[0]! + points[i + 1]! * axis[1]! + points[i + 2]! * axis[2]!;
      turned[i + k] = value;
      low[k] = Math.min(low[k]!, value);
      high[k] = Math.max(high[k]!, value);
    }
  }
  const radius = Math.hypot(...high.map((x, k) => x - low[k]!)) / 2 || 1;
  for (let i = 0; i < turned.length; i++)
    turned[i] = (turned[i]! - (low[i % 3]! + high[i % 3]!) / 2) / radius;
  return [turned, 1 / radius];
}

function triangulate(mesh: PageMesh): Int32Array {
  const { faceOffsets, cornerPoints, positions } = mesh;
  const triangles: number[] = [];
  const normalAt = (a: number, b: number, c: number) =>
    triangleNormal(positions, 3 * cornerPoints[a]!, 3 * cornerPoints[b]!, 3 * cornerPoints[c]!);
  for (let f = 0; f < mesh.faceCount; f++) {
    const first = faceOffsets[f]!;
    const count = faceOffsets[f + 1]! - first;
    if (count === 3) triangles.push(first, first + 1, first + 2);
    else if (count === 4) {
      const n = normalAt(first, first + 1, first + 2);
      const m = normalAt(first, first + 2, first + 3);
      // A concave quad is split from its inner corner.
      const isSound = n[0] * m[0] + n[1] * m[1] + n[2] * m[2] > 0;
      const s = first + (isSound ? 0 : 1);
      const last = isSound ? first + 3 : first;
      triangles.push(s, s + 1, s + 2, s, s + 2, last);
    } else triangles.push(...triangulatePolygon(mesh, first, count));
  }
  return Int32Array.from(triangles);
}

/** A polygon seen along its own normal, so that a concave one is filled and nothing else. */
function triangulatePolygon({ positions, cornerPoints }: PageMesh, first: number, count: number): number[] {
  const normal = [0, 0, 0];
  const at = (i: number) => 3 * cornerPoints[first + (i % count)]!;
  for (let i = 0; i < count; i++) {
    const [p, q] = [at(i), at(i + 1)];
    for (let k = 0; k < 3; k++) {
      const [y, z] = [(k + 1) % 3, (k + 2) % 3];
      normal[k]! += (positions[p + y]! - positions[q + y]!) * (positions[p + z]! + positions[q + z]!);
    }
  }
  let axis = 0;
  for (let k = 1; k < 3; k++) if (Math.abs(normal[k]!) > Math.abs(normal[axis]!)) axis = k;
  const [x, y] = normal[axis]! > 0 ? [(axis + 1) % 3, (axis + 2) % 3] : [(axis + 2) % 3, (axis + 1) % 3];
  const outline = Array.from(
    { length: count },
    (_, i) => new Vector2(positions[at(i) + x!]!, positions[at(i) + y!]!),
  );
  return ShapeUtils.triangulateShape(outline, []).flatMap((triangle) => triangle.map((i) => first + i));
}

function triangleNormal(positions: Float32Array, p: number, q: number, r: number): [number, number, number] {
  const ux = positions[q]! - positions[p]!;
  const uy = positions[q + 1]! - positions[p + 1]!;
  const uz = positions[q + 2]! - positions[p + 2]!;
  const vx = positions[r]! - positions[p]!;
  const vy = positions[r + 1]! - positions[p + 1]!;
  const vz = positions[r + 2]! - positions[p + 2]!;
  return [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
}
