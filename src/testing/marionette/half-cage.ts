import type { Vec3 } from '../../math/index.js';
import type { BodyPart, JointWeights } from './body-parts.js';
import { JOINTS } from './body-parts.js';

/** Values a cage point carries: xyz, then one weight per joint. */
export const CHANNEL_COUNT = 3 + JOINTS.length;

/** A closed quad cage, mirrored about x = 0, with a part per face. */
export interface Cage {
  readonly pointCount: number;
  readonly faceCount: number;
  /** Four points per face, counter-clockwise seen from outside. */
  readonly quads: Int32Array;
  /** CHANNEL_COUNT numbers per point. */
  readonly channels: Float64Array;
  readonly faceParts: Int32Array;
  readonly parts: readonly BodyPart[];
  /** The face on the other side; corner k of a face answers to corner [1, 0, 3, 2][k] of its partner. */
  readonly facePartners: Int32Array;
}

interface CagePoint {
  readonly position: Vec3;
  /** In the order of JOINTS. */
  readonly weights: readonly number[];
}

/** Weights as a list in the order of JOINTS. */
export const listWeights = (weights: JointWeights): number[] => JOINTS.map((joint) => weights[joint] ?? 0);

/** The left half of a body cage; points on the mirror plane are shared by both halves. */
export class HalfCage {
  readonly #points: CagePoint[] = [];
  readonly #quads: number[][] = [];
  readonly #quadParts: number[] = [];
  readonly #parts: Omit<BodyPart, 'side'>[] = [];
  readonly #isCentral: boolean[] = [];

  /** Registers a part and returns its number; central parts are one and the same on both sides. */
  part(part: Omit<BodyPart, 'side'>, isCentral = false): number {
    this.#isCentral.push(isCentral);
    return this.#parts.push(part) - 1;
  }

  point(position: Vec3, weights: JointWeights | readonly number[]): number {
    return this.#points.push({ position, weights: isList(weights) ? weights : listWeights(weights) }) - 1;
  }

  position(point: number): Vec3 {
    return this.#points[point]!.position;
  }

  weights(point: number): readonly number[] {
    return this.#points[point]!.weights;
  }

  quad(a: number, b: number, c: number, d: number, part: number): void {
    this.#quads.push([a, b, c, d]);
    this.#quadParts.push(part);
  }

  /** Adds the right half, and leaves out points that no face uses. */
  mirror(): Cage {
    const used = [...new Set(this.#quads.flat())].sort((a, b) => a - b);
    const places = new Map(used.map((p, i) => [p, i]));
    const half = used.length;
    const partner = new Int32Array(half);
    let pointCount = half;
    for (let p = 0; p < half; p++) partner[p] = this.#points[used[p]!]!.position[0] === 0 ? p : pointCount++;
    const channels = new Float64Array(pointCount * CHANNEL_COUNT);
    for (let p = 0; p < half; p++) {
      const { position, weights } = this.#points[used[p]!]!;
      const values = [...position, ...weights];
      channels.set(values, p * CHANNEL_COUNT);
      if (partner[p] !== p) channels.set([-position[0], ...values.slice(1)], partner[p]! * CHANNEL_COUNT);
    }
    const parts: BodyPart[] = [];
    const leftParts: number[] = [];
    const rightParts: number[] = [];
    this.#parts.forEach((part, i) => {
      const isCentral = this.#isCentral[i]!;
      leftParts.push(parts.push({ ...part, side: isCentral ? 'centre' : 'left' }) - 1);
      rightParts.push(isCentral ? parts.length - 1 : parts.push({ ...part, side: 'right' }) - 1);
    });
    const faces = this.#quads.length;
    const quads = new Int32Array(8 * faces);
    const faceParts = new Int32Array(2 * faces);
    const facePartners = new Int32Array(2 * faces);
    this.#quads.forEach((points, f) => {
      const quad = points.map((p) => places.get(p)!);
      quads.set(quad, 4 * f);
      quads.set(
        [partner[quad[1]!]!, partner[quad[0]!]!, partner[quad[3]!]!, partner[quad[2]!]!],
        4 * (faces + f),
      );
      faceParts[f] = leftParts[this.#quadParts[f]!]!;
      faceParts[faces + f] = rightParts[this.#quadParts[f]!]!;
      facePartners[f] = faces + f;
      facePartners[faces + f] = f;
    });
    return { pointCount, faceCount: 2 * faces, quads, channels, faceParts, parts, facePartners };
  }
}

const isList = (weights: JointWeights | readonly number[]): weights is readonly number[] =>
  Array.isArray(weights);
