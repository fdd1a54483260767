import type { Vec3 } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import type { AxisFrame } from './axis-frame.js';
import { triangulateFaces } from './triangulate-faces.js';
import { VertexProjection } from './vertex-projection.js';

/** All surfaces behind each pixel along one direction, nearest to the viewer first. */
export class LayerView extends VertexProjection {
  /** Layers of pixel p are `offsets[p] .. offsets[p + 1] - 1`. */
  readonly offsets: Int32Array;
  depths = new Float64Array(0);
  /** Shell of each layer, times two, plus 1 where it faces the viewer. */
  sides = new Int32Array(0);

  readonly #triangles: Int32Array;
  readonly #triangleShells: Int32Array;
  #pixels = new Int32Array(0);
  #rawDepths = new Float64Array(0);
  #rawSides = new Int32Array(0);
  #count = 0;

  constructor(mesh: Mesh, frame: AxisFrame, resolution: number) {
    super(mesh, frame, resolution);
    const { triangleVertices, triangleFaces } = triangulateFaces(mesh);
    this.#triangles = triangleVertices;
    this.#triangleShells = triangleFaces.map((f) => mesh.faceShells[f]!);
    this.offsets = new Int32Array(resolution * resolution + 1);
  }

  /** Draws the mesh along a unit direction. Linear in triangles plus layers. */
  draw(direction: Vec3): void {
    this.project(direction);
    this.#count = 0;
    this.#rasterise();
    this.#group();
  }

  #rasterise(): void {
    const { vertexX, vertexY, vertexDepths, resolution } = this;
    const triangles = this.#triangles;
    for (let t = 0; t < this.#triangleShells.length; t++) {
      let a = triangles[3 * t]!;
      let b = triangles[3 * t + 1]!;
      const c = triangles[3 * t + 2]!;
      const cx = vertexX[c]!;
      const cy = vertexY[c]!;
      const left = Math.ceil(Math.min(vertexX[a]!, vertexX[b]!, cx));
      const right = Math.floor(Math.max(vertexX[a]!, vertexX[b]!, cx));
      if (left > right) continue;
      const bottom = Math.ceil(Math.min(vertexY[a]!, vertexY[b]!, cy));
      const top = Math.floor(Math.max(vertexY[a]!, vertexY[b]!, cy));
      if (bottom > top) continue;
      let area =
        (vertexX[b]! - vertexX[a]!) * (cy - vertexY[a]!) - (vertexY[b]! - vertexY[a]!) * (cx - vertexX[a]!);
      if (area === 0) continue;
      const side = 2 * this.#triangleShells[t]! + (area > 0 ? 1 : 0);
      if (area < 0) {
        [a, b] = [b, a];
        area = -area;
      }
      const ax = vertexX[a]!;
      const ay = vertexY[a]!;
      const bx = vertexX[b]!;
      const by = vertexY[b]!;
      const az = vertexDepths[a]!;
      const bz = vertexDepths[b]! - az;
      const cz = vertexDepths[c]! - az;
      for (let y = bottom; y <= top; y++) {
        for (let x = left; x <= right; x++) {
          const wb = (x - ax) * (cy - ay) + (y - ay) * (ax - cx);
          const wc = (x - ax) * (ay - by) + (y - ay) * (bx - ax);
          if (wb >= 0 && wc >= 0 && wb + wc <= area)
            this.#add(y * resolution + x, az + (wb * bz + wc * cz) / area, side);
        }
      }
    }
  }

  #add(pixel: number, depth: number, side: number): void {
    if (this.#count === this.#pixels.length) this.#enlarge();
    this.#pixels[this.#count] = pixel;
    this.#rawDepths[this.#count] = depth;
    this.#rawSides[this.#count++] = side;
  }

  #enlarge(): void {
    const size = Math.max(65536, 2 * this.#pixels.length);
    const copy = <T extends Int32Array | Float64Array>(to: T, from: T): T => {
      to.set(from);
      return to;
    };
    this.#pixels = copy(new Int32Array(size), this.#pixels);
    this.#rawDepths = copy(new Float64Array(size), this.#rawDepths);
    this.#rawSides = copy(new Int32Array(size), this.#rawSides);
    this.depths = new Float64Array(size);
    this.sides = new Int32Array(size);
  }

  /** Sorts the layers into their pixels: counting, then insertion, for a pixel has few. */
  #group(): void {
    const { offsets, depths, sides } = this;
    offsets.fill(0);
    for (let i = 0; i < this.#count; i++) offsets[this.#pixels[i]! + 1]!++;
    for (let p = 1; p < offsets.length; p++) offsets[p]! += offsets[p - 1]!;
    for (let i = this.#count - 1; i >= 0; i--) {
      const pixel = this.#pixels[i]!;
      // Filled from the back: the end of a pixel's list becomes its start.
      const slot = --offsets[pixel + 1]!;
      depths[slot] = this.#rawDepths[i]!;
      sides[slot] = this.#rawSides[i]!;
    }
    for (let p = 0; p + 1 < offsets.length; p++) offsets[p] = offsets[p + 1]!;
    offsets[offsets.length - 1] = this.#count;
    for (let p = 0; p + 1 < offsets.length; p++) {
      const start = offsets[p]!;
      const end = offsets[p + 1]!;
      for (let i = start + 1; i < end; i++) {
        const depth = depths[i]!;
        const side = sides[i]!;
        let j = i - 1;
        while (j >= start && (depths[j]! < depth || (depths[j] === depth && sides[j]! < side))) {
          depths[j + 1] = depths[j]!;
          sides[j + 1] = sides[j]!;
          j--;
        }
        depths[j + 1] = depth;
        sides[j + 1] = side;
      }
    }
  }
}
