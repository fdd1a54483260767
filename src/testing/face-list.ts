import type { Vec3 } from '../math/index.js';

/** A mesh in plain typed arrays, assignable to `MeshInput`. */
export interface PlainMesh {
  /** xyz of every point. */
  readonly points: Float64Array;
  readonly faceVertexCounts: Int32Array;
  readonly faceVertexIndices: Int32Array;
}

/** Collects points and faces, then hands them out as arrays. */
export class FaceList {
  readonly #points: number[] = [];
  readonly #counts: number[] = [];
  readonly #indices: number[] = [];

  point(x: number, y: number, z: number): number {
    return this.#points.push(x, y, z) / 3 - 1;
  }

  points(positions: readonly Vec3[]): number[] {
    return positions.map(([x, y, z]) => this.point(x, y, z));
  }

  face(...corners: readonly number[]): void {
    this.#counts.push(corners.length);
    for (const corner of corners) this.#indices.push(corner);
  }

  /** Quads between two rows of points of equal length; `isClosed` joins the last to the first. */
  band(lower: readonly number[], upper: readonly number[], isClosed: boolean): void {
    const n = lower.length;
    for (let i = 0; i < (isClosed ? n : n - 1); i++) {
      const j = (i + 1) % n;
      this.face(lower[i]!, lower[j]!, upper[j]!, upper[i]!);
    }
  }

  toMesh(): PlainMesh {
    return {
      points: Float64Array.from(this.#points),
      faceVertexCounts: Int32Array.from(this.#counts),
      faceVertexIndices: Int32Array.from(this.#indices),
    };
  }
}
