import type { DistortionPredictor } from '../distortion/index.js';
import { growDistances } from '../graph/index.js';
import type { EdgeId, FaceId, Mesh, VertexId } from '../mesh/index.js';
import { edgeVertices, isCutHalfEdge, listBorder } from '../mesh/index.js';
import type { ChartFrame, MirrorMap } from '../seams/index.js';
import { BoundedMap } from '../structures/index.js';

/** A dead end changes the stretch this many of its lengths to all sides, and this share of the diagonal at least. */
const REACH = 1;
const LEAST_REACH = 0.04;

/** Savings are kept while their names have no more characters than this. */
const KEPT_NAME_LENGTH = 2 ** 22;

/** Vertices within reach of dead ends are kept up to so many times the mesh's vertices. */
const KEPT_NEAR = 24;

/**
 * Predicts how much stretch the dead ends of seams save. What a dead end changes fades within about its own
 * length (Saint-Venant's principle), so a patch of that reach stands for the chart: over 80 dead ends of two
 * bodies it came within 10 % of the difference between whole charts, but for the shortest. A patch that runs round a
 * limb is no disk, and takes what lies beyond it in. Remembers what it worked out, so that what was asked before makes no
 * difference.
 */
export class SeamSavings {
  readonly #mesh: Mesh;
  readonly #mirror: MirrorMap | undefined;
  readonly #edgeLengths: Float64Array;
  readonly #predictor: DistortionPredictor;
  /** By chart and dead end, and by dead end and patch, which many charts share. */
  readonly #inCharts = new BoundedMap<string, Map<string, number>>(KEPT_NAME_LENGTH);
  readonly #known = new BoundedMap<string, number>(KEPT_NAME_LENGTH);
  readonly #near: BoundedMap<string, Int32Array>;
  readonly #isNear: Uint8Array;
  readonly #isFound: Uint8Array;
  readonly #queue: Int32Array;

  /** @param mesh - canonical: its diagonal is 1 */
  constructor(
    mesh: Mesh,
    mirror: MirrorMap | undefined,
    edgeLengths: Float64Array,
    predictor: DistortionPredictor,
  ) {
    this.#mesh = mesh;
    this.#mirror = mirror;
    this.#edgeLengths = edgeLengths;
    this.#predictor = predictor;
    this.#near = new BoundedMap(KEPT_NEAR * mesh.vertexCount);
    this.#isNear = new Uint8Array(mesh.vertexCount);
    this.#isFound = new Uint8Array(mesh.faceCount);
    this.#queue = new Int32Array(mesh.faceCount);
  }

  /**
   * Energy times area that leaving a dead end out would add, in squared units of the canonical mesh.
   *
   * @param edges - the dead end, one connected run of the frame's seam edges
   */
  estimate(frame: ChartFrame, edges: readonly EdgeId[]): number {
    const { isSeam, faceCharts } = frame.cut;
    const [own, twin] = this.#orderTwins(isSeam, edges);
    const ends = this.#recallChart(
      frame.nameChart(faceCharts[this.#mesh.cornerFaces[this.#mesh.edgeHalfEdges[own[0]!]!]!]!),
    );
    const end = `${own[0]}:${own.length}`;
    let saving = ends.get(end);
    if (saving === undefined) {
      saving = this.#workOut(isSeam, own, twin);
      ends.set(end, saving);
    }
    return saving;
  }

  /** Savings of the dead ends of a chart. */
  #recallChart(name: string): Map<string, number> {
    let ends = this.#inCharts.get(name);
    if (!ends) {
      ends = new Map();
      this.#inCharts.set(name, ends, name.length);
    }
    return ends;
  }

  #workOut(isSeam: Uint8Array, own: readonly EdgeId[], twin: readonly EdgeId[]): number {
    const closed = isSeam.slice();
    for (const e of [...own, ...twin]) closed[e] = 0;
    const patch = this.#patch(closed, own);
    const compare = (faces: Int32Array) => this.#compare(isSeam, own, twin, faces);
    // What runs round a limb is no disk.
    return (
      compare(patch) ?? compare(this.#fill(closed, patch)) ?? compare(this.#spread(closed, patch)) ?? Infinity
    );
  }

  #compare(
    isSeam: Uint8Array,
    own: readonly EdgeId[],
    twin: readonly EdgeId[],
    faces: Int32Array,
  ): number | undefined {
    const key = this.#name(isSeam, own, faces);
    let saving = this.#known.get(key);
    if (saving === undefined) {
      const { cornerFaces, edgeHalfEdges } = this.#mesh;
      const hasTwin = twin.length > 0 && faces.includes(cornerFaces[edgeHalfEdges[twin[0]!]!]!);
      saving = this.#predictor.predictSaving(faces, isSeam, [...own, ...twin]);
      if (saving === undefined) return undefined;
      if (hasTwin) saving /= 2;
      this.#known.set(key, saving, key.length);
    }
    return saving;
  }

  /** A text that tells a dead end and faces with the seams among them. */
  #name(isSeam: Uint8Array, own: readonly EdgeId[], faces: Int32Array): string {
    return `${own[0]}:${own.length}:${faces[0]}:${listBorder(this.#mesh, isSeam, faces).join()}`;
  }

  /**
   * A dead end and its mirror image, if that is cut, too, and not the same; that of the lower edges first, as both save
   * alike, and edges ascending, from whichever end it was traced.
   */
  #orderTwins(isSeam: Uint8Array, edges: readonly EdgeId[]): [own: EdgeId[], twin: EdgeId[]] {
    const own = [...edges].sort((a, b) => a - b);
    const twin = own.map((e) => this.#mirror?.edgePartners[e] ?? -1).sort((a, b) => a - b);
    if (twin.some((e) => e < 0 || !isSeam[e]) || twin[0] === own[0]) return [own, []];
    return twin[0]! < own[0]! ? [twin, own] : [own, twin];
  }

  /** Faces within reach of the dead end, or of its mirror image, that hang together with it, were both closed. */
  #patch(closed: Uint8Array, edges: readonly EdgeId[]): Int32Array {
    const mesh = this.#mesh;
    const starts = edges.map((e) => mesh.cornerFaces[mesh.edgeHalfEdges[e]!]!);
    const near = this.#recallNear(edges);
    const isNear = this.#isNear;
    for (const v of near) {
      isNear[v] = 1;
      if (this.#mirror && this.#mirror.vertexPartners[v]! >= 0) isNear[this.#mirror.vertexPartners[v]!] = 1;
    }
    const patch = this.#spread(
      closed,
      starts,
      (h) => isNear[mesh.cornerVertices[h]!] === 1 || isNear[mesh.cornerVertices[mesh.next[h]!]!] === 1,
    );
    isNear.fill(0);
    return patch;
  }

  /** Vertices within reach of a dead end, whatever the seams. */
  #recallNear(edges: readonly EdgeId[]): Int32Array {
    const name = edges.join();
    let near = this.#near.get(name);
    if (!near) {
      near = this.#findNear(edges);
      this.#near.set(name, near, near.length + name.length);
    }
    return near;
  }

  #findNear(edges: readonly EdgeId[]): Int32Array {
    const length = edges.reduce((sum, e) => sum + this.#edgeLengths[e]!, 0);
    const reach = Math.max(LEAST_REACH, REACH * length);
    const sources = new Set<VertexId>();
    for (const e of edges) for (const v of edgeVertices(this.#mesh, e)) sources.add(v);
    return Int32Array.from(growDistances(this.#mesh, [...sources], this.#edgeLengths, reach).order);
  }

  /** The patch with what it parts from the rest of the chart: all but the largest piece, as the foot beyond a shin. */
  #fill(closed: Uint8Array, patch: Int32Array): Int32Array {
    const { cornerFaces, twin, faceCount } = this.#mesh;
    const isTaken = new Uint8Array(faceCount);
    for (const f of patch) isTaken[f] = 1;
    const chart = this.#spread(closed, patch);
    let largest: Int32Array = new Int32Array(0);
    for (const f of chart) {
      if (isTaken[f]) continue;
      const piece = this.#spread(closed, [f], (h) => !isTaken[cornerFaces[twin[h]!]!]);
      for (const g of piece) isTaken[g] = 1;
      // Of two as large the first stays out.
      if (piece.length > largest.length) largest = piece;
    }
    for (const f of largest) isTaken[f] = 0;
    return chart.filter((f) => isTaken[f]);
  }

  /** Faces that hang together with the given ones across sides that may be crossed; ascending. */
  #spread(
    closed: Uint8Array,
    starts: ArrayLike<FaceId>,
    mayCross: (halfEdge: number) => boolean = () => true,
  ): Int32Array {
    const mesh = this.#mesh;
    const isFound = this.#isFound;
    const queue = this.#queue;
    let count = 0;
    const find = (f: FaceId) => {
      if (isFound[f]) return;
      isFound[f] = 1;
      queue[count++] = f;
    };
    for (let i = 0; i < starts.length; i++) find(starts[i]!);
    for (let i = 0; i < count; i++) {
      const f = queue[i]!;
      for (let h = mesh.faceOffsets[f]!; h < mesh.faceOffsets[f + 1]!; h++)
        if (!isCutHalfEdge(mesh, closed, h) && mayCross(h)) find(mesh.cornerFaces[mesh.twin[h]!]!);
    }
    for (let i = 0; i < count; i++) isFound[queue[i]!] = 0;
    return queue.slice(0, count).sort();
  }
}
