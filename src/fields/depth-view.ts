import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { computeVertexPositions } from '../mesh/index.js';
import type { AxisFrame } from './axis-frame.js';
import { triangulateFaces } from './triangulate-faces.js';

/** Which buffer a triangle goes into: the one it faces, the other (an inside-out shell), or both (an open shell). */
const FACING = 1;
const AWAY = 0;
const BOTH = 2;

/**
 * A pair of orthographic depth buffers along one axis: what is seen looking against `direction` (`near`) and from
 * the opposite side (`far`, with depths negated), greatest depth kept in both.
 *
 * Both ends of an axis share the projection of the vertices and the set-up of the triangles. On a closed shell
 * that encloses volume the first surface a ray meets faces the ray, so each triangle goes into one buffer
 * only; open shells are drawn into both.
 */
export class DepthView {
  readonly resolution: number;
  /** Vertices on the raster: pixel centres at whole numbers. */
  readonly vertexX: Float64Array;
  readonly vertexY: Float64Array;
  /** Vertices along the direction, from the middle of the bounding box, model units. */
  readonly vertexDepths: Float64Array;
  /** Greatest depth per pixel, −Infinity where nothing is. */
  readonly near: Float32Array;
  /** Greatest negated depth per pixel, −Infinity where nothing is. */
  readonly far: Float32Array;
  /** Width of a pixel in model units. */
  pixelSize = 1;

  readonly #positions: Float64Array;
  readonly #triangles: Int32Array;
  readonly #triangleModes: Uint8Array;

  readonly #axes: readonly Vec3[];

  constructor(mesh: Mesh, frame: AxisFrame, resolution: number) {
    this.resolution = resolution;
    this.#axes = [frame.side, frame.up, frame.front];
    this.#positions = centredPositions(mesh, this.#axes);
    const { triangleVertices, triangleFaces } = triangulateFaces(mesh);
    this.#triangles = triangleVertices;
    const shellModes = findShellModes(mesh, this.#positions, triangleVertices, triangleFaces);
    this.#triangleModes = new Uint8Array(triangleFaces.length);
    for (let t = 0; t < triangleFaces.length; t++)
      this.#triangleModes[t] = shellModes[mesh.faceShells[triangleFaces[t]!]!]!;
    this.vertexX = new Float64Array(mesh.vertexCount);
    this.vertexY = new Float64Array(mesh.vertexCount);
    this.vertexDepths = new Float64Array(mesh.vertexCount);
    this.near = new Float32Array(resolution * resolution);
    this.far = new Float32Array(resolution * resolution);
  }

  /** Draws the mesh along a unit direction. Linear in triangles plus covered pixels. */
  draw(direction: Vec3): void {
    this.#project(direction);
    this.#rasterise();
  }

  #project(direction: Vec3): void {
    // The raster hangs on the character's axes, so turning the model with its axes changes nothing.
    let steepest = this.#axes[0]!;
    for (const axis of this.#axes)
      if (Math.abs(dot(axis, direction)) < Math.abs(dot(steepest, direction)) - 1e-9) steepest = axis;
    const across = normalize(cross(steepest, direction));
    const upward = cross(direction, across);
    const { vertexX, vertexY, vertexDepths } = this;
    const positions = this.#positions;
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

  #rasterise(): void {
    const { vertexX, vertexY, vertexDepths, near, far, resolution } = this;
    const triangles = this.#triangles;
    const modes = this.#triangleModes;
    near.fill(-Infinity);
    far.fill(-Infinity);
    for (let t = 0; t < modes.length; t++) {
      let a = triangles[3 * t]!;
      let b = triangles[3 * t + 1]!;
      const c = triangles[3 * t + 2]!;
      let ax = vertexX[a]!;
      let bx = vertexX[b]!;
      const cx = vertexX[c]!;
      const left = Math.ceil(ax < bx ? (ax < cx ? ax : cx) : bx < cx ? bx : cx);
      const right = Math.floor(ax > bx ? (ax > cx ? ax : cx) : bx > cx ? bx : cx);
      if (left > right) continue;
      let ay = vertexY[a]!;
      let by = vertexY[b]!;
      const cy = vertexY[c]!;
      const bottom = Math.ceil(ay < by ? (ay < cy ? ay : cy) : by < cy ? by : cy);
      const top = Math.floor(ay > by ? (ay > cy ? ay : cy) : by > cy ? by : cy);
      if (bottom > top) continue;
      let area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
      if (area === 0) continue;
      const mode = modes[t]!;
      const isNear = mode === BOTH || area > 0 === (mode === FACING);
      const isFar = mode === BOTH || !isNear;
      if (area < 0) {
        const swap = a;
        a = b;
        b = swap;
        ax = vertexX[a]!;
        ay = vertexY[a]!;
        bx = vertexX[b]!;
        by = vertexY[b]!;
        area = -area;
      }
      const az = vertexDepths[a]!;
      const bz = vertexDepths[b]! - az;
      const cz = vertexDepths[c]! - az;
      // The areas opposite b and c (times two) grow linearly over the raster, and the depth with them.
      const bStepX = cy - ay;
      const bStepY = ax - cx;
      const cStepX = ay - by;
      const cStepY = bx - ax;
      let bRow = (left - ax) * bStepX + (bottom - ay) * bStepY;
      let cRow = (left - ax) * cStepX + (bottom - ay) * cStepY;
      for (let y = bottom; y <= top; y++) {
        let wb = bRow;
        let wc = cRow;
        let pixel = y * resolution + left;
        for (let x = left; x <= right; x++, pixel++) {
          if (wb >= 0 && wc >= 0 && wb + wc <= area) {
            const depth = az + (wb * bz + wc * cz) / area;
            if (isNear && depth > near[pixel]!) near[pixel] = depth;
            if (isFar && -depth > far[pixel]!) far[pixel] = -depth;
          }
          wb += bStepX;
          wc += cStepX;
        }
        bRow += bStepY;
        cRow += cStepY;
      }
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

function findShellModes(
  mesh: Mesh,
  positions: Float64Array,
  triangleVertices: Int32Array,
  triangleFaces: Int32Array,
): Uint8Array {
  const volumes = new Float64Array(mesh.shellCount);
  const isOpen = new Uint8Array(mesh.shellCount);
  for (let t = 0; t < triangleFaces.length; t++) {
    const a = 3 * triangleVertices[3 * t]!;
    const b = 3 * triangleVertices[3 * t + 1]!;
    const c = 3 * triangleVertices[3 * t + 2]!;
    volumes[mesh.faceShells[triangleFaces[t]!]!]! +=
      positions[a]! * (positions[b + 1]! * positions[c + 2]! - positions[b + 2]! * positions[c + 1]!) +
      positions[a + 1]! * (positions[b + 2]! * positions[c]! - positions[b]! * positions[c + 2]!) +
      positions[a + 2]! * (positions[b]! * positions[c + 1]! - positions[b + 1]! * positions[c]!);
  }
  for (let h = 0; h < mesh.cornerCount; h++)
    if (mesh.twin[h]! < 0) isOpen[mesh.faceShells[mesh.cornerFaces[h]!]!] = 1;
  const modes = new Uint8Array(mesh.shellCount);
  const flat = 1e-12 * mesh.diagonal ** 3;
  for (let i = 0; i < mesh.shellCount; i++) {
    if (isOpen[i] || Math.abs(volumes[i]!) <= flat) modes[i] = BOTH;
    else modes[i] = volumes[i]! > 0 ? FACING : AWAY;
  }
  return modes;
}
