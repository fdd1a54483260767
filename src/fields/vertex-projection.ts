import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { computeVertexPositions } from '../mesh/index.js';
import type { AxisFrame } from './axis-frame.js';

/** Orthographic projection of a mesh's vertices onto a square raster, along any direction. */
export class VertexProjection {
  readonly resolution: number;
  /** Vertices on the raster: pixel centres at whole numbers. */
  readonly vertexX: Float64Array;
  readonly vertexY: Float64Array;
  /** Vertices along the direction, from the middle of the bounding box, model units. */
  readonly vertexDepths: Float64Array;
  /** Width of a pixel in model units. */
  pixelSize = 1;

  /** Vertices from the middle of the box along the axes. */
  protected readonly positions: Float64Array;
  readonly #axes: readonly Vec3[];

  constructor(mesh: Mesh, frame: AxisFrame, resolution: number) {
    this.resolution = resolution;
    this.#axes = [frame.side, frame.up, frame.front];
    this.positions = centredPositions(mesh, this.#axes);
    this.vertexX = new Float64Array(mesh.vertexCount);
    this.vertexY = new Float64Array(mesh.vertexCount);
    this.vertexDepths = new Float64Array(mesh.vertexCount);
  }

  /** Projects along a unit direction. */
  project(direction: Vec3): void {
    // The raster hangs on the character's axes, so turning the model with its axes changes nothing.
    let steepest = this.#axes[0]!;
    for (const axis of this.#axes)
      if (Math.abs(dot(axis, direction)) < Math.abs(dot(steepest, direction)) - 1e-9) steepest = axis;
    const across = normalize(cross(steepest, direction));
    const upward = cross(direction, across);
    const { vertexX, vertexY, vertexDepths } = this;
    const { positions } = this;
    const [ax, ay, az] = across;
    const [ux, uy, uz] = upward;
    const [dx, dy, dz] = direction;
    let extent = 0;
    for (let v = 0; v < vertexX.length; v++) {
      const x = positions[3 * v]!;
      const y = positions[3 * v + 1]!;
      const z = positions[3 * v + 2]!;
      const sx = x * ax + y * ay + z * az;
      const sy = x * ux + y * uy + z * uz;
      vertexX[v] = sx;
      vertexY[v] = sy;
      vertexDepths[v] = x * dx + y * dy + z * dz;
      extent = Math.max(extent, Math.abs(sx), Math.abs(sy));
    }
    // Two pixels stay free all round, so that samples never look outside.
    const pixelsPerUnit = (this.resolution / 2 - 2) / (extent || 1);
    this.pixelSize = 1 / pixelsPerUnit;
    const centre = (this.resolution - 1) / 2;
    for (let v = 0; v < vertexX.length; v++) {
      vertexX[v] = vertexX[v]! * pixelsPerUnit + centre;
      vertexY[v] = vertexY[v]! * pixelsPerUnit + centre;
    }
  }
}

/** Vertex positions from the middle of the box along the axes. */
function centredPositions(mesh: Mesh, axes: readonly Vec3[]): Float64Array {
  const positions = computeVertexPositions(mesh);
  const middle = [0, 0, 0];
  for (const [ax, ay, az] of axes) {
    let low = Infinity;
    let high = -Infinity;
    for (let i = 0; i < positions.length; i += 3) {
      const along = positions[i]! * ax + positions[i + 1]! * ay + positions[i + 2]! * az;
      if (along < low) low = along;
      if (along > high) high = along;
    }
    middle[0]! += ((low + high) / 2) * ax;
    middle[1]! += ((low + high) / 2) * ay;
    middle[2]! += ((low + high) / 2) * az;
  }
  for (let i = 0; i < positions.length; i += 3) {
    positions[i]! -= middle[0]!;
    positions[i + 1]! -= middle[1]!;
    positions[i + 2]! -= middle[2]!;
  }
  return positions;
}
