import type { Vec3 } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import type { AxisFrame } from './axis-frame.js';
import { triangulateFaces } from './triangulate-faces.js';
import { VertexProjection } from './vertex-projection.js';

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
export class DepthView extends VertexProjection {
  /** Greatest depth per pixel, −Infinity where nothing is. */
  readonly near: Float32Array;
  /** Greatest negated depth per pixel, −Infinity where nothing is. */
  readonly far: Float32Array;

  readonly #triangles: Int32Array;
  readonly #triangleModes: Uint8Array;

  constructor(mesh: Mesh, frame: AxisFrame, resolution: number) {
    super(mesh, frame, resolution);
    const { triangleVertices, triangleFaces } = triangulateFaces(mesh);
    this.#triangles = triangleVertices;
    const shellModes = findShellModes(mesh, this.positions, triangleVertices, triangleFaces);
    this.#triangleModes = new Uint8Array(triangleFaces.length);
    for (let t = 0; t < triangleFaces.length; t++)
      this.#triangleModes[t] = shellModes[mesh.faceShells[triangleFaces[t]!]!]!;
    this.near = new Float32Array(resolution * resolution);
    this.far = new Float32Array(resolution * resolution);
  }

  /** Draws the mesh along a unit direction. Linear in triangles plus covered pixels. */
  draw(direction: Vec3): void {
    this.project(direction);
    this.#rasterise();
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
      const left = Math.ceil(Math.min(ax, bx, cx));
      const right = Math.floor(Math.max(ax, bx, cx));
      if (left > right) continue;
      let ay = vertexY[a]!;
      let by = vertexY[b]!;
      const cy = vertexY[c]!;
      const bottom = Math.ceil(Math.min(ay, by, cy));
      const top = Math.floor(Math.max(ay, by, cy));
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
