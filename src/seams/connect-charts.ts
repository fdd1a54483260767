import type { EdgePath } from '../graph/index.js';
import { buildSpokes, FlowSearch, turnAngle } from '../graph/index.js';
import type { EdgeId, Mesh, VertexId } from '../mesh/index.js';
import { findBorderLoops, isBorderEdge, openMesh, vertexFace } from '../mesh/index.js';
import type { ChartFrame } from './chart-frame.js';
import { ChartFrames } from './chart-frame.js';
import type { ConnectMemory } from './connect-memory.js';
import type { MirrorMap } from './mirror-map.js';
import { openMirrorMap } from './mirror-map.js';

/** Where paths run and what they cost. */
export interface SeamGround {
  readonly mesh: Mesh;
  readonly mirror: MirrorMap | undefined;
  /** Finite cost per edge of the uncut mesh. */
  readonly edgeCosts: Float64Array;
  readonly cornerAngles: Float64Array;
  /** Kept between calls, these spare work that was done before. */
  readonly frames?: ChartFrames;
  readonly memory?: ConnectMemory;
}

export interface ConnectOptions {
  /** Vertices of the uncut mesh that the seams must reach. */
  readonly terminals?: readonly VertexId[];
  /**
   * How border loops on the mirror plane are joined: along the plane, or down both sides at once, which
   * makes a front and a back.
   */
  readonly trunk?: 'centre' | 'sides';
}

/**
 * Joins, inside every chart, all border loops and terminals into one, by growing a tree along cheap paths
 * (the shortest-path heuristic for Steiner trees, Takahashi & Matsuyama 1980: at most twice the best).
 * Mirrored charts get mirrored paths. Returns the added paths as edges and vertices of the uncut mesh.
 */
export function connectCharts(
  ground: SeamGround,
  isSeam: Uint8Array,
  options: ConnectOptions = {},
): EdgePath[] {
  const added: EdgePath[] = [];
  const mask = isSeam.slice();
  const frames = ground.frames ?? new ChartFrames(ground.mesh);
  const passes: (MirrorMap | undefined)[] = ground.mirror ? [ground.mirror, undefined] : [undefined];
  for (const mirror of passes) {
    const frame = frames.at(mask);
    if (added.length > 0 && isConnected(frame, options.terminals ?? [])) break;
    const paths = connectOnce(ground, mirror, frame, options);
    for (const path of paths) for (const e of path.edges) mask[e] = 1;
    added.push(...paths);
  }
  return added;
}

/** Whether every chart has one border loop that all its terminals lie on. */
function isConnected(frame: ChartFrame, terminals: readonly VertexId[]): boolean {
  return (
    frame.topologies.every((chart) => chart.borderLoops === 1) && terminals.every((v) => frame.isFixed[v])
  );
}

/** One pass over all charts; those that were connected so before are recalled. */
function connectOnce(
  ground: SeamGround,
  mirror: MirrorMap | undefined,
  frame: ChartFrame,
  options: ConnectOptions,
): EdgePath[] {
  const { mesh, faceCharts, chartCount } = frame.cut;
  const partners = findPartnerCharts(frame, mirror);
  const terminals: VertexId[][] = Array.from({ length: chartCount }, () => []);
  for (const v of new Set(options.terminals ?? []))
    if (!frame.isFixed[v]) terminals[faceCharts[vertexFace(mesh, v)]!]!.push(v);
  for (const list of terminals) list.sort((a, b) => a - b);
  const nameTask = (chart: number) => {
    const partner = partners[chart]!;
    const own = `${frame.nameChart(chart)};${terminals[chart]!.join()};${options.trunk}`;
    if (!mirror) return own;
    if (partner < 0 || partner === chart) return `${own};${partner < 0 ? 'lone' : 'central'}`;
    return `${own};${frame.nameChart(partner)};${terminals[partner]!.join()}`;
  };
  const known: (readonly EdgePath[] | undefined)[] = [];
  const tasks: number[] = [];
  for (let chart = 0; chart < chartCount; chart++) {
    if (partners[chart]! >= 0 && partners[chart]! < chart) continue;
    known[chart] = ground.memory?.recall(nameTask(chart), frame, chart, ground.edgeCosts);
    if (!known[chart]) tasks.push(chart);
  }
  if (tasks.length > 0) {
    const connector = new ChartConnector(ground, mirror, frame, options);
    for (const chart of tasks) {
      known[chart] = connector.connect(chart, partners[chart]!);
      ground.memory?.keep(nameTask(chart), known[chart]!, ground.edgeCosts);
    }
  }
  return known.flatMap((paths) => paths ?? []);
}

/** The chart that most partners of each chart's faces lie in, -1 for none. */
function findPartnerCharts({ cut }: ChartFrame, mirror: MirrorMap | undefined): Int32Array {
  const { faceCharts, chartCount } = cut;
  const partners = new Int32Array(chartCount).fill(-1);
  if (!mirror) return partners;
  // What most faces say outlasts all votes against it (Boyer & Moore, "MJRTY", 1981); then it is counted.
  const leads = new Int32Array(chartCount);
  const margins = new Int32Array(chartCount);
  for (const votes of [leads, margins])
    for (let f = 0; f < faceCharts.length; f++) {
      const g = mirror.facePartners[f]!;
      if (g < 0) continue;
      const [chart, other] = [faceCharts[f]!, faceCharts[g]!];
      if (votes === leads && votes[chart] === 0) partners[chart] = other;
      votes[chart]! += partners[chart] === other ? 1 : -1;
    }
  for (let chart = 0; chart < chartCount; chart++) if (margins[chart]! <= 0) partners[chart] = -1;
  return partners.map((other, chart) => (other >= 0 && partners[other] === chart ? other : -1));
}

class ChartConnector {
  readonly #mesh: Mesh;
  readonly #mirror: MirrorMap | undefined;
  readonly #search: FlowSearch;
  /** Infinity along borders, where no path runs. */
  readonly #edgeCosts: Float64Array;
  readonly #uncutEdges: Int32Array;
  readonly #uncutVertices: Int32Array;
  readonly #options: ConnectOptions;
  readonly #spokes;
  /** Component of each vertex that must be reached, or -1. */
  readonly #componentOf: Int32Array;
  readonly #components: VertexId[][] = [];
  readonly #isJoined: boolean[] = [];
  readonly #isInTree: Uint8Array;
  /** Vertices of the tree in the chart at hand. */
  #tree: VertexId[] = [];
  #verticesByChart: VertexId[][] | undefined;
  #added: EdgePath[] = [];
  readonly #byChart: number[][];

  constructor(ground: SeamGround, mirror: MirrorMap | undefined, frame: ChartFrame, options: ConnectOptions) {
    const opened = openMesh(ground.mesh, frame.cut.isSeam, frame.cut);
    this.#mesh = opened.mesh;
    this.#uncutEdges = opened.edges;
    this.#uncutVertices = new Int32Array(opened.mesh.vertexCount);
    for (let c = 0; c < ground.mesh.cornerCount; c++) {
      this.#uncutVertices[opened.mesh.cornerVertices[c]!] = ground.mesh.cornerVertices[c]!;
    }
    this.#options = options;
    this.#mirror = mirror && openMirrorMap(mirror, ground.mesh, opened);
    this.#edgeCosts = new Float64Array(opened.edges.length);
    for (let e = 0; e < opened.edges.length; e++)
      this.#edgeCosts[e] = isBorderEdge(opened.mesh, e) ? Infinity : ground.edgeCosts[opened.edges[e]!]!;
    this.#spokes = buildSpokes(this.#mesh, ground.cornerAngles);
    this.#search = new FlowSearch(this.#spokes, this.#edgeCosts);
    this.#componentOf = new Int32Array(this.#mesh.vertexCount).fill(-1);
    this.#isInTree = new Uint8Array(this.#mesh.vertexCount);
    for (const loop of findBorderLoops(this.#mesh)) {
      this.#addComponent([...loop].map((h) => this.#mesh.cornerVertices[h]!));
    }
    const wanted = new Set(options.terminals ?? []);
    for (let h = 0; h < ground.mesh.cornerCount && wanted.size > 0; h++) {
      const v = this.#mesh.cornerVertices[h]!;
      if (wanted.has(ground.mesh.cornerVertices[h]!) && this.#componentOf[v]! < 0) this.#addComponent([v]);
    }
    this.#byChart = Array.from({ length: this.#mesh.shellCount }, () => []);
    this.#components.forEach((component, i) => {
      this.#byChart[this.#chartOfVertex(component[0]!)]!.push(i);
    });
  }

  /** Paths of one chart and, where another is its mirror image, of that. */
  connect(chart: number, partner: number): readonly EdgePath[] {
    const components = this.#byChart[chart]!;
    this.#tree = [];
    this.#added = [];
    if (components.length === 0) this.#rootClosedChart(chart, partner);
    else if (components.length === 1) this.#widenPoint(components[0]!, chart, partner);
    else if (partner === chart) this.#connectMirrored(components);
    else this.#connectPlain(components, partner >= 0);
    return this.#added;
  }

  #addComponent(vertices: VertexId[]): void {
    for (const v of vertices) this.#componentOf[v] = this.#components.length;
    this.#components.push(vertices);
    this.#isJoined.push(false);
  }

  #chartOfVertex(v: VertexId): number {
    return this.#mesh.faceShells[vertexFace(this.#mesh, v)]!;
  }

  #join(component: number): void {
    this.#isJoined[component] = true;
    for (const v of this.#components[component]!) this.#plant(v);
  }

  #joinLargest(components: readonly number[]): void {
    const size = (i: number) => this.#components[i]!.length;
    this.#join([...components].sort((a, b) => size(b) - size(a) || a - b)[0]!);
  }

  #plant(v: VertexId): void {
    if (this.#isInTree[v]) return;
    this.#isInTree[v] = 1;
    this.#tree.push(v);
  }

  /** Records a path and, with `mirrored`, its mirror image. */
  #add(path: EdgePath, mirrored: boolean): void {
    const record = (edges: EdgeId[], vertices: VertexId[]) => {
      const inner = edges.filter((e) => !isBorderEdge(this.#mesh, e));
      this.#added.push({
        edges: inner.map((e) => this.#uncutEdges[e]!),
        vertices: vertices.map((v) => this.#uncutVertices[v]!),
        cost: path.cost,
      });
    };
    record(path.edges, path.vertices);
    for (const v of path.vertices) this.#plant(v);
    if (!mirrored || !this.#mirror) return;
    const { edgePartners, vertexPartners } = this.#mirror;
    const own = new Set(path.edges);
    if (path.edges.every((e) => own.has(edgePartners[e]!))) return;
    record(
      path.edges.map((e) => edgePartners[e]!).filter((e) => e >= 0),
      path.vertices.map((v) => vertexPartners[v]!),
    );
    for (const v of path.vertices) if (vertexPartners[v]! >= 0) this.#plant(vertexPartners[v]!);
  }

  #connectPlain(components: readonly number[], mirrored: boolean): void {
    this.#joinLargest(components);
    this.#grow(components, { mirrored });
  }

  /** Grows the tree until every listed component is joined or out of reach. */
  #grow(
    components: readonly number[],
    limits: {
      mirrored: boolean;
      isAllowed?: (v: VertexId) => boolean;
      isEdgeBlocked?: (e: EdgeId) => boolean;
    },
  ): void {
    const isWanted = new Set(components.filter((i) => !this.#isJoined[i]));
    let sourceCount = 0;
    while (isWanted.size > 0) {
      const grown = this.#tree.slice(sourceCount);
      const query = {
        sources: limits.isAllowed ? grown.filter((v) => this.#isOnLeftOrPlane(v)) : grown,
        isTarget: (v: VertexId) =>
          isWanted.has(this.#componentOf[v]!) && (!limits.isAllowed || this.#isOnLeftOrPlane(v)),
        isBlocked: (v: VertexId) =>
          this.#isInTree[v] === 1 || this.#componentOf[v]! >= 0 || limits.isAllowed?.(v) === false,
        isEdgeBlocked: (e: EdgeId) =>
          (limits.mirrored && this.#mirror!.edgePartners[e]! < 0) || !!limits.isEdgeBlocked?.(e),
      };
      const path = sourceCount === 0 ? this.#search.find(query) : this.#search.findNext(query);
      sourceCount = this.#tree.length;
      if (!path) return;
      const reached = this.#componentOf[path.vertices[path.vertices.length - 1]!]!;
      this.#add(path, limits.mirrored);
      isWanted.delete(reached);
      this.#join(reached);
      const opposite = this.#mirror?.vertexPartners[this.#components[reached]![0]!] ?? -1;
      if (limits.mirrored && opposite >= 0 && this.#componentOf[opposite]! >= 0)
        this.#join(this.#componentOf[opposite]!);
    }
  }

  #isOnLeftOrPlane(v: VertexId): boolean {
    return this.#mirror!.vertexSides[v]! >= 0 && this.#mirror!.vertexPartners[v]! >= 0;
  }

  /** A chart that is its own mirror image: first what lies on the plane, then the left with the right alike. */
  #connectMirrored(components: readonly number[]): void {
    const { vertexPartners, edgePartners } = this.#mirror!;
    const isCentral = (i: number) => {
      const partner = vertexPartners[this.#components[i]![0]!]!;
      return partner >= 0 && this.#componentOf[partner] === i;
    };
    const central = components.filter(isCentral);
    const lateral = components.filter(
      (i) => !isCentral(i) && this.#components[i]!.every((v) => this.#isOnLeftOrPlane(v)),
    );
    if (central.length > 0) {
      this.#joinLargest(central);
      // Points on the plane are reached along it in any case; how loops are joined is the caller's choice.
      const isLoop = (i: number) => this.#components[i]!.length > 1;
      const alongPlane = this.#options.trunk === 'sides' ? central.filter((i) => !isLoop(i)) : central;
      this.#grow(alongPlane, {
        mirrored: true,
        isEdgeBlocked: (e) => edgePartners[e] !== e || !this.#isPlaneEdge(e),
      });
      this.#grow(central.filter(isLoop), {
        mirrored: true,
        isAllowed: (v) => this.#mirror!.vertexSides[v] === 1,
      });
    } else if (lateral.length > 0) this.#join(lateral[0]!);
    this.#grow(lateral, { mirrored: true, isAllowed: (v) => this.#mirror!.vertexSides[v] === 1 });
    if (central.length === 0 && lateral.length > 0) this.#crossPlane();
  }

  #isPlaneEdge(e: EdgeId): boolean {
    const h = this.#mesh.edgeHalfEdges[e]!;
    const { vertexPartners } = this.#mirror!;
    const a = this.#mesh.cornerVertices[h]!;
    const b = this.#mesh.cornerVertices[this.#mesh.next[h]!]!;
    return vertexPartners[a] === a && vertexPartners[b] === b;
  }

  /** Joins the left tree to its mirror image by one path through the plane. */
  #crossPlane(): void {
    const { vertexPartners, edgePartners } = this.#mirror!;
    const crossing = (v: VertexId): EdgeId => {
      for (let s = this.#spokes.offsets[v]!; s < this.#spokes.offsets[v + 1]!; s++) {
        const e = this.#spokes.edges[s]!;
        if (this.#spokes.heads[s] === vertexPartners[v] && edgePartners[e] === e) return e;
      }
      return -1;
    };
    const path = this.#search.find({
      sources: this.#tree.filter((v) => this.#isOnLeftOrPlane(v)),
      isTarget: (v) =>
        this.#isInTree[v] === 0 &&
        (vertexPartners[v] === v || (this.#isOnLeftOrPlane(v) && crossing(v) >= 0)),
      isBlocked: (v) => !this.#isOnLeftOrPlane(v) || this.#isInTree[v] === 1,
    });
    if (!path) return;
    const last = path.vertices[path.vertices.length - 1]!;
    if (vertexPartners[last] !== last) path.edges.push(crossing(last));
    this.#add(path, true);
  }

  /** Starts the opening of a closed chart: two edges, straight on, at its least exposed vertex. */
  #rootClosedChart(chart: number, partner: number): void {
    const isMirrored = partner === chart;
    let best: EdgePath | undefined;
    for (const v of this.#chartVertices(chart)) {
      if (isMirrored && this.#mirror!.vertexPartners[v] !== v) continue;
      const stub = this.#straightestPair(v, isMirrored);
      if (stub && (!best || stub.cost < best.cost)) best = stub;
    }
    if (best) this.#add(best, partner >= 0);
    else if (isMirrored) this.#rootClosedChart(chart, -1);
  }

  #chartVertices(chart: number): VertexId[] {
    if (!this.#verticesByChart) {
      this.#verticesByChart = Array.from({ length: this.#mesh.shellCount }, () => []);
      for (let v = 0; v < this.#mesh.vertexCount; v++) this.#verticesByChart[this.#chartOfVertex(v)]!.push(v);
    }
    return this.#verticesByChart[chart]!;
  }

  /** A lone terminal in a closed chart becomes a short cut through it. */
  #widenPoint(component: number, chart: number, partner: number): void {
    const vertices = this.#components[component]!;
    if (vertices.length > 1 || this.#spokes.isBorder[vertices[0]!]) return;
    const stub =
      this.#straightestPair(vertices[0]!, partner === chart) ?? this.#straightestPair(vertices[0]!, false);
    if (stub) this.#add(stub, partner >= 0);
  }

  #straightestPair(v: VertexId, isMirrored: boolean): EdgePath | undefined {
    let best: EdgePath | undefined;
    const { offsets, edges, heads, opposites } = this.#spokes;
    for (let s = offsets[v]!; s < offsets[v + 1]!; s++) {
      for (let t = s + 1; t < offsets[v + 1]!; t++) {
        if (isMirrored) {
          const { edgePartners } = this.#mirror!;
          const onPlane = edgePartners[edges[s]!] === edges[s] && edgePartners[edges[t]!] === edges[t];
          if (!onPlane && edgePartners[edges[s]!] !== edges[t]) continue;
        }
        const turn = turnAngle(this.#spokes, opposites[s]!, t);
        const cost = (this.#edgeCosts[edges[s]!]! + this.#edgeCosts[edges[t]!]!) * (1 + turn);
        if (!best || cost < best.cost) {
          best = { edges: [edges[s]!, edges[t]!], vertices: [heads[s]!, v, heads[t]!], cost };
        }
      }
    }
    return best;
  }
}
