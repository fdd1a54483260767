import { describe, expect, it } from 'vitest';
import type { Mesh, MeshInput } from '../../src/mesh/index.js';
import { buildMesh, cutMesh, measureChartTopology, seamMask } from '../../src/mesh/index.js';
import { carryOver } from '../../src/revising/index.js';
import { cylinder, gridPatch, uvSphere } from '../../src/testing/shapes/index.js';

function codeOf(work: () => unknown): string | undefined {
  try {
    work();
  } catch (error) {
    return (error as { code?: string }).code;
  }
  return undefined;
}

/** Point pairs along the points that `accept` lets through, where an edge joins them. */
function edgesWhere(mesh: Mesh, accept: (x: number, y: number, z: number) => boolean): [number, number][] {
  const isIn = (p: number) => accept(mesh.points[3 * p]!, mesh.points[3 * p + 1]!, mesh.points[3 * p + 2]!);
  const pairs: [number, number][] = [];
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const [a, b] = [mesh.cornerPoints[h]!, mesh.cornerPoints[mesh.next[h]!]!];
    if (isIn(a) && isIn(b)) pairs.push([a, b]);
  }
  return pairs;
}

const lengthOf = (mesh: Mesh, edges: readonly (readonly [number, number])[]) =>
  edges.reduce((sum, [a, b]) => {
    const d = [0, 1, 2].map((k) => mesh.points[3 * a + k]! - mesh.points[3 * b + k]!);
    return sum + Math.hypot(...d);
  }, 0);

/** Planar UVs: the points' own x and y. */
const planarUvs = (mesh: Mesh) =>
  Float64Array.from(
    { length: 2 * mesh.cornerCount },
    (_, k) => mesh.points[3 * mesh.cornerPoints[k >> 1]! + (k & 1)]!,
  );

describe('carryOver', () => {
  it('carries seams and UVs exactly to a re-posed model of the same faces', () => {
    const input = cylinder({ segments: 12, rows: 6 });
    const from = buildMesh(input);
    const bent: MeshInput = { ...input, points: Array.from(input.points, (x, k) => x + Math.sin(k) * 0.2) };
    const to = buildMesh(bent);
    const seams = [{ edges: edgesWhere(from, (x) => x > 0.999) }];
    const uvs = planarUvs(from);
    const result = carryOver(from, { seams, uvs }, to);
    expect(result.isExact).toBe(true);
    expect(result.seams).toEqual(seams);
    expect(result.uvs).toEqual(uvs);
    expect(result.notes).toEqual([]);
  });

  it('carries a seam along the same line to a finer and to a coarser mesh', () => {
    const build = (n: number) => buildMesh(gridPatch(n, n));
    const size = 8;
    const scaled = (n: number) => {
      const patch = gridPatch(n, n);
      return buildMesh({ ...patch, points: Array.from(patch.points, (x) => (x * size) / n) });
    };
    expect(build(2).faceCount).toBe(4);
    const from = scaled(8);
    const seams = [{ edges: edgesWhere(from, (x) => Math.abs(x - 4) < 1e-9) }];
    for (const n of [16, 24, 4]) {
      const to = scaled(n);
      const { seams: carried, lostEdges, isExact } = carryOver(from, { seams }, to);
      expect(isExact).toBe(false);
      expect(lostEdges).toEqual([]);
      const { edges } = carried![0]!;
      expect(edges.length).toBe(n);
      for (const p of edges.flat()) expect(to.points[3 * p]).toBeCloseTo(4, 9);
      expect(cutMesh(to, seamMask(to, carried!)).chartCount).toBe(2);
    }
  });

  it('keeps a cut sphere a disk on another sphere, its seam about as long', () => {
    const from = buildMesh(uvSphere({ segments: 16, rows: 8 }));
    const to = buildMesh(uvSphere({ segments: 26, rows: 15 }));
    // A meridian from pole to pole, whichever axis they lie on.
    const seams = [{ edges: meridian(from) }];
    const before = measureChartTopology(cutMesh(from, seamMask(from, seams)));
    expect(before.map((chart) => chart.isDisk)).toEqual([true]);
    const { seams: carried, lostEdges } = carryOver(from, { seams }, to, { tolerance: 0.1 });
    expect(lostEdges).toEqual([]);
    const after = measureChartTopology(cutMesh(to, seamMask(to, carried!)));
    expect(after.map((chart) => chart.isDisk)).toEqual([true]);
    expect(lengthOf(to, carried![0]!.edges) / lengthOf(from, seams[0]!.edges)).toBeLessThan(1.3);
  });

  it('carries UVs to a finer mesh as they lie', () => {
    const scaled = (n: number) => {
      const patch = gridPatch(n, n, (x, y) => 0.01 * x * y);
      return buildMesh({ ...patch, points: Array.from(patch.points, (x) => x / n) });
    };
    const from = scaled(6);
    const to = scaled(9);
    const { uvs, unmatchedFaces, doubtfulFaces } = carryOver(from, { uvs: planarUvs(from) }, to, {
      tolerance: 0.1,
    });
    expect([unmatchedFaces, doubtfulFaces]).toEqual([[], []]);
    planarUvs(to).forEach((x, k) => {
      expect(Math.abs(uvs![k]! - x)).toBeLessThan(0.01);
    });
  });

  it('keeps both sides of a cut apart', () => {
    const from = buildMesh(cylinder({ segments: 12, rows: 4, ends: 'open' }));
    const to = buildMesh(cylinder({ segments: 24, rows: 8, ends: 'open' }));
    const { points } = from;
    // The cylinder stands along y.
    const [a, height, b] = [0, 1, 2];
    // Unrolled: the angle, cut where it jumps, and the height.
    const uvs = new Float64Array(2 * from.cornerCount);
    for (let f = 0; f < from.faceCount; f++) {
      const corners = Array.from(
        { length: from.faceOffsets[f + 1]! - from.faceOffsets[f]! },
        (_, k) => from.faceOffsets[f]! + k,
      );
      const angle = (c: number) =>
        Math.atan2(points[3 * from.cornerPoints[c]! + b]!, points[3 * from.cornerPoints[c]! + a]!);
      const raw = corners.map((c) => (angle(c) < -1e-9 ? angle(c) + 2 * Math.PI : Math.max(0, angle(c))));
      const wraps = Math.max(...raw) - Math.min(...raw) > Math.PI;
      corners.forEach((c, k) => {
        uvs[2 * c] = wraps && raw[k]! < 1e-6 ? 2 * Math.PI : raw[k]!;
        uvs[2 * c + 1] = points[3 * from.cornerPoints[c]! + height]!;
      });
    }
    const { uvs: carried, unmatchedFaces, doubtfulFaces } = carryOver(from, { uvs }, to, { tolerance: 0.1 });
    expect([unmatchedFaces, doubtfulFaces]).toEqual([[], []]);
    for (let f = 0; f < to.faceCount; f++) {
      const us = Array.from({ length: 4 }, (_, k) => carried![2 * (to.faceOffsets[f]! + k)]!);
      expect(Math.max(...us) - Math.min(...us)).toBeLessThan(0.4);
    }
  });

  it('says what could not be carried', () => {
    const from = buildMesh(gridPatch(6, 6));
    const seams = [{ edges: edgesWhere(from, (x) => Math.abs(x - 3) < 1e-9) }];
    const half = gridPatch(12, 5);
    const to = buildMesh({
      ...half,
      points: Array.from(half.points, (x, k) => (k % 3 === 0 ? x / 2 : x / 2)),
    });
    const { lostEdges, notes, unmatchedFaces } = carryOver(from, { seams, uvs: planarUvs(from) }, to);
    // The seam runs from y = 0 to 6 and the new mesh ends at 2.5.
    expect(lostEdges.length).toBe(4);
    expect(unmatchedFaces).toEqual([]);
    expect(notes.join()).toContain('4 edges of 1 seam');
    const far = buildMesh({ ...half, points: Array.from(half.points, (x) => x + 100) });
    const lost = carryOver(from, { seams, uvs: planarUvs(from) }, far);
    expect(lost.seams![0]!.edges).toEqual([]);
    expect(lost.lostEdges.length).toBe(6);
    expect(lost.unmatchedFaces.length).toBe(far.faceCount);
    expect(lost.uvs!.every(Number.isNaN)).toBe(true);
  });

  it('refuses a bad tolerance, UVs of another mesh and seams that are no edges', () => {
    const mesh = buildMesh(gridPatch(2, 2));
    const to = buildMesh(gridPatch(3, 3));
    expect(codeOf(() => carryOver(mesh, {}, to, { tolerance: -1 }))).toBe('OPTION_INVALID');
    expect(codeOf(() => carryOver(mesh, { uvs: [0, 1] }, to))).toBe('OPTION_INVALID');
    expect(codeOf(() => carryOver(mesh, { seams: [{ edges: [[0, 8]] }] }, to))).toBe('HINT_INVALID');
    expect(carryOver(mesh, {}, to)).toMatchObject({
      isExact: false,
      seams: undefined,
      uvs: undefined,
      notes: [],
    });
  });
});

/** Edges of one meridian between the two vertices where most faces meet. */
function meridian(mesh: Mesh): [number, number][] {
  const degree = new Int32Array(mesh.vertexCount);
  for (const v of mesh.cornerVertices) degree[v]!++;
  const poles = [...degree.keys()].sort((a, b) => degree[b]! - degree[a]! || a - b).slice(0, 2);
  const pole = mesh.vertexPoints[poles[0]!]!;
  // Straight on from the pole: out of each vertex of four edges by the one opposite.
  let h = [...mesh.cornerPoints.keys()].find((c) => mesh.cornerVertices[c] === poles[0])!;
  const edges: [number, number][] = [];
  for (let guard = 0; guard < 100; guard++) {
    const a = mesh.cornerPoints[h]!;
    const b = mesh.cornerPoints[mesh.next[h]!]!;
    edges.push([a, b]);
    if (b !== pole && mesh.cornerVertices[mesh.next[h]!] === poles[1]) break;
    h = mesh.next[mesh.twin[mesh.next[h]!]!]!;
  }
  return edges;
}
