import type { ChartSurface, CutMesh, Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  buildVertexAdjacency,
  computeEdgeLengths,
  cutMesh,
  edgeVertices,
  extractCharts,
  measureChartTopology,
} from '../../src/mesh/index.js';
import { IndexedHeap } from '../../src/structures/index.js';
import type { SeededRandom } from '../../src/testing/index.js';
import { cubeSphere, jitterMesh, mapPoints, seededRandom, triangulateMesh } from '../../src/testing/index.js';

type Vec3 = readonly [number, number, number];

/** A closed surface with random knobs, waves and proportions, of quads, triangles or both. */
export function makeKnobbyShape(seed: number): Mesh {
  const random = seededRandom(seed);
  const n = random.integer(8, 28);
  const knobs = Array.from({ length: random.integer(0, 6) }, () => ({
    along: randomDirection(random),
    height: random.between(0.3, 2.5),
    width: random.between(0.15, 0.65),
  }));
  const waves = Array.from({ length: 4 }, () => ({
    wave: [random.between(-6, 6), random.between(-6, 6), random.between(-6, 6)] as const,
    phase: random.between(0, 6.28),
    height: 0.12 * random.next() ** 2,
  }));
  const stretch = [random.between(0.4, 2), random.between(0.4, 2), random.between(0.4, 2)] as const;
  const ball = jitterMesh(cubeSphere({ n }), random.between(0, 0.15) / n, seed);
  const shape = mapPoints(ball, (p) => {
    const length = Math.hypot(...p);
    const [x, y, z] = [p[0] / length, p[1] / length, p[2] / length];
    let radius = 1;
    for (const { along, height, width } of knobs)
      radius += height * Math.exp((x * along[0] + y * along[1] + z * along[2] - 1) / width ** 2);
    for (const { wave, phase, height } of waves)
      radius *= 1 + height * Math.sin(wave[0] * x + wave[1] * y + wave[2] * z + phase);
    return [x * radius * stretch[0], y * radius * stretch[1], z * radius * stretch[2]];
  });
  return buildMesh(random.next() < 0.5 ? shape : triangulateMesh(shape).mesh);
}

function randomDirection(random: SeededRandom): Vec3 {
  const z = random.between(-1, 1);
  const angle = random.between(0, 2 * Math.PI);
  const r = Math.sqrt(1 - z * z);
  return [r * Math.cos(angle), r * Math.sin(angle), z];
}

/** A cut mesh and those of its charts that are disks of some size. */
export interface RandomCut {
  readonly cut: CutMesh;
  readonly charts: readonly ChartSurface[];
}

/**
 * Cuts a mesh along random seams, and keeps the charts that are disks: regions grown from random faces by a
 * noisy distance, opened where they are rings, and slit by random relief cuts.
 */
export function cutAtRandom(mesh: Mesh, seed: number, regionCount: number): RandomCut {
  const random = seededRandom(seed);
  const noise = random.between(0, 2);
  const edgeCosts = computeEdgeLengths(mesh).map((length) => length * (1 + noise * random.next()));
  const isSeam = growRegions(mesh, random, edgeCosts, regionCount);
  const cutter = new Cutter(mesh, isSeam, edgeCosts);
  if (regionCount === 1) {
    const [from, to] = [random.integer(0, mesh.vertexCount - 1), random.integer(0, mesh.vertexCount - 1)];
    cutter.cut([from], (v) => v === to);
  }
  for (let pass = 0; pass < 12 && openRings(mesh, cutter); pass++);
  const reliefs = Math.floor(2.5 * regionCount * random.next() ** 2);
  for (let i = 0; i < reliefs; i++) {
    const onSeam = cutter.seamVertices();
    const start = random.integer(0, mesh.vertexCount - 1);
    if (!onSeam[start]) cutter.cut([start], (v) => onSeam[v] === 1);
  }
  const cut = cutMesh(mesh, isSeam);
  const topologies = measureChartTopology(cut);
  const charts = extractCharts(cut).filter((chart, i) => topologies[i]!.isDisk && chart.faces.length >= 8);
  return { cut, charts };
}

/** Marks the edges between regions grown from random faces. */
function growRegions(
  mesh: Mesh,
  random: SeededRandom,
  edgeCosts: Float64Array,
  regionCount: number,
): Uint8Array {
  const regions = new Int32Array(mesh.faceCount).fill(-1);
  const claims = new Int32Array(mesh.faceCount).fill(-1);
  const heap = new IndexedHeap(mesh.faceCount);
  for (let i = 0; i < regionCount; i++) {
    const face = random.integer(0, mesh.faceCount - 1);
    claims[face] = i;
    heap.pushOrDecrease(face, 0);
  }
  for (let face = heap.pop(); face >= 0; face = heap.pop()) {
    regions[face] = claims[face]!;
    for (let h = mesh.faceOffsets[face]!; h < mesh.faceOffsets[face + 1]!; h++) {
      const t = mesh.twin[h]!;
      if (t < 0 || regions[mesh.cornerFaces[t]!]! >= 0) continue;
      const other = mesh.cornerFaces[t]!;
      const cost = heap.priority(face) + edgeCosts[mesh.halfEdgeEdges[h]!]!;
      if (claims[other]! >= 0 && heap.priority(other) <= cost) continue;
      claims[other] = regions[face]!;
      heap.pushOrDecrease(other, cost);
    }
  }
  const isSeam = new Uint8Array(mesh.edgeCount);
  for (let h = 0; h < mesh.cornerCount; h++) {
    const t = mesh.twin[h]!;
    if (t < 0 || regions[mesh.cornerFaces[h]!] !== regions[mesh.cornerFaces[t]!])
      isSeam[mesh.halfEdgeEdges[h]!] = 1;
  }
  return isSeam;
}

/** Cuts every chart of several borders from its first to the nearest other; returns whether there was any. */
function openRings(mesh: Mesh, cutter: Cutter): boolean {
  const cut = cutMesh(mesh, cutter.isSeam);
  const topologies = measureChartTopology(cut);
  let hasOpened = false;
  extractCharts(cut).forEach((chart, i) => {
    if (topologies[i]!.borderLoops < 2) return;
    const [first, ...others] = chart.borderLoops.map((loop) =>
      Array.from(loop, (v) => chart.meshVertices[v]!),
    );
    const targets = new Set(others.flat());
    const inside = new Set(chart.meshVertices);
    const onSeam = cutter.seamVertices();
    const opened = cutter.cut(
      first!,
      (v) => targets.has(v),
      (v) => inside.has(v) && !onSeam[v],
    );
    hasOpened ||= opened;
  });
  return hasOpened;
}

class Cutter {
  readonly isSeam: Uint8Array;
  readonly #mesh: Mesh;
  readonly #edgeCosts: Float64Array;
  readonly #adjacency: ReturnType<typeof buildVertexAdjacency>;

  constructor(mesh: Mesh, isSeam: Uint8Array, edgeCosts: Float64Array) {
    this.#mesh = mesh;
    this.isSeam = isSeam;
    this.#edgeCosts = edgeCosts;
    this.#adjacency = buildVertexAdjacency(mesh);
  }

  seamVertices(): Uint8Array {
    const onSeam = new Uint8Array(this.#mesh.vertexCount);
    for (let e = 0; e < this.#mesh.edgeCount; e++) {
      if (!this.isSeam[e]) continue;
      const [a, b] = edgeVertices(this.#mesh, e);
      onSeam[a] = 1;
      onSeam[b] = 1;
    }
    return onSeam;
  }

  /** Cuts along the cheapest path from the sources to a target through passable vertices; returns whether there is one. */
  cut(
    sources: readonly number[],
    isTarget: (v: number) => boolean,
    isPassable: (v: number) => boolean = () => true,
  ): boolean {
    const { offsets, others, edges } = this.#adjacency;
    const arrivals = new Int32Array(this.#mesh.vertexCount).fill(-1);
    const isSource = new Uint8Array(this.#mesh.vertexCount);
    const isDone = new Uint8Array(this.#mesh.vertexCount);
    const heap = new IndexedHeap(this.#mesh.vertexCount);
    for (const v of sources) {
      isSource[v] = 1;
      heap.pushOrDecrease(v, 0);
    }
    for (let v = heap.pop(); v >= 0; v = heap.pop()) {
      isDone[v] = 1;
      if (!isSource[v] && isTarget(v)) {
        this.#mark(v, arrivals);
        return true;
      }
      if (!isSource[v] && !isPassable(v)) continue;
      for (let i = offsets[v]!; i < offsets[v + 1]!; i++) {
        const e = edges[i]!;
        const other = others[i]!;
        if (this.isSeam[e] || isDone[other] || isSource[other]) continue;
        const cost = heap.priority(v) + this.#edgeCosts[e]!;
        if (arrivals[other]! >= 0 && heap.priority(other) <= cost) continue;
        arrivals[other] = e;
        heap.pushOrDecrease(other, cost);
      }
    }
    return false;
  }

  #mark(target: number, arrivals: Int32Array): void {
    let v = target;
    for (let e = arrivals[v]!; e >= 0; e = arrivals[v]!) {
      this.isSeam[e] = 1;
      const [a, b] = edgeVertices(this.#mesh, e);
      v = a === v ? b : a;
    }
  }
}
