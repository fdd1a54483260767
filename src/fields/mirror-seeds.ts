import type { Vec3 } from '../math/index.js';
import { add, length, scale, subtract, vec3At } from '../math/index.js';
import type { HalfEdgeId, Mesh } from '../mesh/index.js';
import { appendTo } from '../structures/index.js';
import { MirrorMap } from './mirror-walk.js';
import { PointGrid } from './point-grid.js';
import { computeVertexSignatures, mix } from './vertex-signatures.js';

/** A half-edge and its partner, enough to fix the mirror map of a whole shell. */
export interface MirrorSeed {
  readonly from: HalfEdgeId;
  readonly to: HalfEdgeId;
}

const SIGNATURE_ROUNDS = 24;
const MAX_TRIALS = 32;
/** Partner edges differ in length by this factor at most: in the crook of a bent elbow edges shrink several times. */
export const POSED_LENGTH_RATIO = 8;
/** Places whose distances to the body are compared, per shell. */
const MAX_PROBES = 64;
/** Distances of partners to the body differ by this share of the diagonal at most, on the mean. */
const MAX_OFFSET = 0.03;

const SIDES: readonly Vec3[] = [
  [0, 0, 0],
  [1, 0, 0],
  [-1, 0, 0],
  [0, 1, 0],
  [0, -1, 0],
  [0, 0, 1],
  [0, 0, -1],
];

interface Probes {
  readonly vertices: readonly number[];
  readonly anchors: readonly number[];
}

/**
 * Finds mirror maps from the topology alone, for characters in an uneven pose.
 */
export class TopologicalMatcher {
  readonly #mesh: Mesh;
  readonly #positions: Float64Array;
  readonly #edgeLengths: Float64Array;
  readonly #signatures: Int32Array;
  readonly #trial: MirrorMap;
  readonly #shellFaces: Int32Array;

  constructor(mesh: Mesh, positions: Float64Array, edgeLengths: Float64Array) {
    this.#mesh = mesh;
    this.#positions = positions;
    this.#edgeLengths = edgeLengths;
    this.#signatures = computeVertexSignatures(mesh, SIGNATURE_ROUNDS);
    this.#trial = new MirrorMap(mesh, edgeLengths, POSED_LENGTH_RATIO);
    this.#shellFaces = new Int32Array(mesh.shellCount);
    for (const shell of mesh.faceShells) this.#shellFaces[shell]!++;
  }

  /**
   * The map of a shell onto itself. Tries edges that could lie on its centre line (their two faces swap) or
   * cross it (the edge turns round), where the surroundings look alike on both sides, and keeps the one
   * whose map reaches farthest with the likest lengths.
   *
   * @returns undefined when the best covers less than `leastShare` of the faces
   */
  findBodySeed(shell: number, leastShare: number): MirrorSeed | undefined {
    const mesh = this.#mesh;
    const candidates: { seed: MirrorSeed; key: number }[] = [];
    for (let e = 0; e < mesh.edgeCount; e++) {
      const h = mesh.edgeHalfEdges[e]!;
      if (mesh.faceShells[mesh.cornerFaces[h]!] !== shell) continue;
      const t = mesh.twin[h]!;
      const key = this.#edgeKey(h);
      if (t >= 0 && this.#looksAlike(h, t)) candidates.push({ seed: { from: h, to: t }, key });
      if (this.#looksAlike(h, h) && (t < 0 || this.#looksAlike(t, t)))
        candidates.push({ seed: { from: h, to: h }, key: key ^ 1 });
    }
    candidates.sort((a, b) => a.key - b.key || a.seed.from - b.seed.from);
    let best: { seed: MirrorSeed; share: number; cost: number } | undefined;
    for (const { seed } of candidates.slice(0, MAX_TRIALS)) {
      const share = this.#walkFrom(seed) / this.#shellFaces[shell]!;
      const difference = this.#meanLengthDifference();
      this.#trial.clear();
      const cost = difference + 4 * (1 - share);
      if (!best || cost < best.cost - 1e-9) best = { seed, share, cost };
      if (share > 0.99 && difference < 0.1) break;
    }
    return best && best.share >= leastShare ? best.seed : undefined;
  }

  /**
   * The map of a further shell, such as an eyeball, onto itself or another: these often have several symmetries,
   * and the right one keeps the distances to the body round it, as `body` maps that.
   */
  findFurtherSeed(shell: number, body: MirrorMap): MirrorSeed | undefined {
    const mesh = this.#mesh;
    const probes = this.#probe(shell, body);
    if (probes.anchors.length === 0) return undefined;
    const free = (h: HalfEdgeId) => body.facePartners[mesh.cornerFaces[h]!]! < 0;
    const images = new Map<number, HalfEdgeId[]>();
    for (let g = 0; g < mesh.cornerCount; g++) {
      if (!free(g) || this.#shellFaces[mesh.faceShells[mesh.cornerFaces[g]!]!] !== this.#shellFaces[shell])
        continue;
      appendTo(images, this.#ringKey(g, true), g);
    }
    // The half-edge with the fewest look-alikes makes the fewest trials.
    let from = -1;
    let fromKey = 0;
    let fewest = Infinity;
    for (let h = 0; h < mesh.cornerCount; h++) {
      if (mesh.faceShells[mesh.cornerFaces[h]!] !== shell || !free(h)) continue;
      const key = this.#ringKey(h, false);
      const count = images.get(key)?.length ?? Infinity;
      if (count > fewest || (count === fewest && key >= fromKey)) continue;
      from = h;
      fromKey = key;
      fewest = count;
    }
    if (from < 0 || fewest === Infinity) return undefined;
    let best: { seed: MirrorSeed; cost: number } | undefined;
    for (const to of images.get(fromKey)!.slice(0, 8 * MAX_TRIALS)) {
      const seed = { from, to };
      const isOnto = mesh.faceShells[mesh.cornerFaces[to]!] === shell;
      const share = this.#walkFrom(seed) / ((isOnto ? 1 : 2) * this.#shellFaces[shell]!);
      const offset = this.#measureOffset(probes, body) / mesh.diagonal;
      this.#trial.clear();
      const cost = offset + (1 - share);
      if (share >= 0.95 && offset < MAX_OFFSET && (!best || cost < best.cost)) best = { seed, cost };
    }
    return best?.seed;
  }

  /** Tries a seed on the trial map; the number of faces matched. */
  #walkFrom(seed: MirrorSeed): number {
    if (!this.#trial.tryFaces(seed.from, seed.to)) return 0;
    this.#trial.walk();
    return this.#trial.matchedFaceCount;
  }

  /** Vertices of a shell, and vertices round it that have partners already, to measure distances from. */
  #probe(shell: number, body: MirrorMap): Probes {
    const mesh = this.#mesh;
    const positions = this.#positions;
    const matched: number[] = [];
    for (let v = 0; v < mesh.vertexCount; v++) if (body.vertexPartners[v]! >= 0) matched.push(v);
    const grid = new PointGrid(Float64Array.from(matched.flatMap((v) => [...vec3At(positions, v)])));
    const members = new Set<number>();
    for (let h = 0; h < mesh.cornerCount; h++)
      if (mesh.faceShells[mesh.cornerFaces[h]!] === shell) members.add(mesh.cornerVertices[h]!);
    const order = [...members].sort((a, b) => this.#signatures[a]! - this.#signatures[b]! || a - b);
    const step = Math.ceil(order.length / MAX_PROBES);
    let centre: Vec3 = [0, 0, 0];
    for (const v of order) centre = add(centre, scale(vec3At(positions, v), 1 / order.length));
    const radius = Math.max(...order.map((v) => length(subtract(vec3At(positions, v), centre))));
    // Anchors on all sides, for a ring of symmetries about one line keeps the distances to a place on it.
    // Near ones, for a pose changes long distances.
    const anchors = new Set<number>();
    for (const reach of [Math.min(2 * radius, 0.05 * mesh.diagonal), 0.05 * mesh.diagonal])
      for (const side of SIDES) {
        const at = add(centre, scale(side, reach));
        const nearest = grid.nearest(at[0], at[1], at[2], reach + 0.1 * mesh.diagonal);
        if (nearest >= 0) anchors.add(matched[nearest]!);
      }
    return { vertices: order.filter((_, i) => i % step === 0), anchors: [...anchors] };
  }

  /** Mean difference of a probe's distances to the anchors and its image's distances to theirs. */
  #measureOffset(probes: Probes, body: MirrorMap): number {
    let sum = 0;
    let count = 0;
    for (const vertex of probes.vertices) {
      const image = this.#trial.vertexPartners[vertex]!;
      if (image < 0) continue;
      for (const anchor of probes.anchors) {
        count++;
        sum += Math.abs(this.#distance(vertex, anchor) - this.#distance(image, body.vertexPartners[anchor]!));
      }
    }
    return count > 0 ? sum / count : Infinity;
  }

  #distance(a: number, b: number): number {
    const p = this.#positions;
    return Math.hypot(p[3 * a]! - p[3 * b]!, p[3 * a + 1]! - p[3 * b + 1]!, p[3 * a + 2]! - p[3 * b + 2]!);
  }

  /** Hash of an edge by what lies round it. */
  #edgeKey(h: HalfEdgeId): number {
    const { cornerVertices, next } = this.#mesh;
    return mix((this.#signatures[cornerVertices[h]!]! + this.#signatures[cornerVertices[next[h]!]!]!) | 0);
  }

  /** Hash of a face's signatures from a half-edge on; backwards as a mirror image runs. */
  #ringKey(start: HalfEdgeId, isBackward: boolean): number {
    const { cornerVertices, next, prev } = this.#mesh;
    let key = 0;
    let h = start;
    do {
      key = mix((Math.imul(key, 31) + this.#signatures[cornerVertices[isBackward ? next[h]! : h]!]!) | 0);
      h = isBackward ? prev[h]! : next[h]!;
    } while (h !== start);
    return key;
  }

  /** Whether the two faces have the same signatures when one is run through backwards. */
  #looksAlike(h: HalfEdgeId, g: HalfEdgeId): boolean {
    const { cornerVertices, next, prev } = this.#mesh;
    let a = h;
    let b = g;
    do {
      if (this.#signatures[cornerVertices[a]!] !== this.#signatures[cornerVertices[next[b]!]!]) return false;
      a = next[a]!;
      b = prev[b]!;
    } while (a !== h && b !== g);
    return a === h && b === g;
  }

  /** Mean |log| of the length ratio of the trial's half-edges. */
  #meanLengthDifference(): number {
    const { cornerCount, halfEdgeEdges } = this.#mesh;
    let sum = 0;
    let count = 0;
    for (let h = 0; h < cornerCount; h++) {
      const g = this.#trial.halfEdgePartners[h]!;
      if (g < 0) continue;
      sum += Math.abs(
        Math.log(this.#edgeLengths[halfEdgeEdges[h]!]! / this.#edgeLengths[halfEdgeEdges[g]!]!),
      );
      count++;
    }
    return count > 0 ? sum / count : Infinity;
  }
}
