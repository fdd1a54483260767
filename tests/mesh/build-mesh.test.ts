import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { weldPoints } from '../../src/mesh/weld-points.js';
import {
  cube,
  explodeMesh,
  flipFaces,
  gridPatch,
  joinMeshes,
  meshArbitraries,
  prism,
  rotateMesh,
  scaleMesh,
  shuffleMesh,
  translateMesh,
} from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);
const RUNS = process.env.SEAMWRIGHT_LONG ? 1000 : 60;

/** Everything that must hold of any half-edge mesh. */
function checkStructure(mesh: Mesh): void {
  const {
    next,
    prev,
    twin,
    cornerFaces,
    cornerVertices,
    halfEdgeEdges,
    edgeHalfEdges,
    vertexHalfEdges,
    faceOffsets,
  } = mesh;
  const fail = (what: string) => expect.fail(what);
  for (let h = 0; h < mesh.cornerCount; h++) {
    if (prev[next[h]!] !== h || next[prev[h]!] !== h) fail(`next and prev disagree at ${h}`);
    if (cornerFaces[next[h]!] !== cornerFaces[h]) fail(`next leaves the face at ${h}`);
    const t = twin[h]!;
    if (t >= 0) {
      if (twin[t] !== h || t === h) fail(`twins disagree at ${h}`);
      if (cornerVertices[h] !== cornerVertices[next[t]!] || cornerVertices[t] !== cornerVertices[next[h]!])
        fail(`twins have other ends at ${h}`);
      if (halfEdgeEdges[t] !== halfEdgeEdges[h]) fail(`twins have other edges at ${h}`);
    }
    if (edgeHalfEdges[halfEdgeEdges[h]!] !== (t >= 0 ? Math.min(h, t) : h))
      fail(`the edge of ${h} has another lower half-edge`);
  }
  for (let f = 0; f < mesh.faceCount; f++) {
    let steps = 0;
    for (let h = faceOffsets[f]!; steps === 0 || h !== faceOffsets[f]; h = next[h]!) steps++;
    if (steps !== faceOffsets[f + 1]! - faceOffsets[f]!) fail(`face ${f} is walked in ${steps} steps`);
    // The walk runs the caller's way, or the other way where the face is turned.
    const second = faceOffsets[f]! + 1;
    if (mesh.faceFlipped[f] ? prev[faceOffsets[f]!] !== second : next[faceOffsets[f]!] !== second)
      fail(`face ${f} runs the wrong way`);
  }
  const cornersOfVertex = new Int32Array(mesh.vertexCount);
  for (const v of cornerVertices) cornersOfVertex[v]!++;
  for (let v = 0; v < mesh.vertexCount; v++) {
    // Round the vertex counter-clockwise: every corner once, from border to border or round.
    let seen = 0;
    const first = vertexHalfEdges[v]!;
    let h = first;
    do {
      if (cornerVertices[h] !== v) fail(`the walk round vertex ${v} leaves it`);
      seen++;
      h = twin[prev[h]!]!;
    } while (h >= 0 && h !== first);
    if (seen !== cornersOfVertex[v])
      fail(`vertex ${v} has ${cornersOfVertex[v]} corners, the walk sees ${seen}`);
    if (h < 0 && twin[first]! >= 0) fail(`border vertex ${v} does not start at its border`);
  }
  for (let c = 0; c < mesh.cornerCount; c++)
    if (mesh.vertexPoints[cornerVertices[c]!]! > mesh.cornerPoints[c]!)
      fail(`vertex of corner ${c} is not named by its lowest point`);
}

describe('buildMesh on small exact cases', () => {
  it('builds the unit cube', () => {
    const mesh = buildMesh(cube());
    expect([mesh.vertexCount, mesh.edgeCount, mesh.faceCount, mesh.shellCount]).toEqual([8, 12, 6, 1]);
    expect(mesh.twin.includes(-1)).toBe(false);
    expect(mesh.diagonal).toBeCloseTo(Math.sqrt(3), 15);
    expect(mesh.repairs).toEqual([]);
    checkStructure(mesh);
  });

  it('builds one triangle: three borders', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 0, 1, 0],
      faceVertexCounts: [3],
      faceVertexIndices: [0, 1, 2],
    });
    expect([...mesh.next]).toEqual([1, 2, 0]);
    expect([...mesh.twin]).toEqual([-1, -1, -1]);
    expect(mesh.edgeCount).toBe(3);
    checkStructure(mesh);
  });

  it('pairs two triangles over their shared edge', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0],
      faceVertexCounts: [3, 3],
      faceVertexIndices: [0, 1, 2, 2, 1, 3],
    });
    expect([...mesh.twin]).toEqual([-1, 3, -1, 1, -1, -1]);
    expect([...mesh.halfEdgeEdges]).toEqual([0, 1, 2, 1, 3, 4]);
    expect([...mesh.edgeHalfEdges]).toEqual([0, 1, 2, 4, 5]);
    checkStructure(mesh);
  });

  it('turns a face that runs against its neighbours, by the majority of area', () => {
    const grid = gridPatch(3, 1);
    const turned = buildMesh(flipFaces(grid, (f) => f === 1));
    expect([...turned.faceFlipped]).toEqual([0, 1, 0]);
    expect(turned.repairs).toMatchObject([{ kind: 'flipped-neighbour', element: 'face', elements: [1] }]);
    const majority = buildMesh(flipFaces(grid, (f) => f !== 1));
    expect([...majority.faceFlipped]).toEqual([0, 1, 0]);
    checkStructure(turned);
  });

  it('keeps n-gons and the caller’s order', () => {
    const mesh = buildMesh(prism(7));
    expect([...mesh.cornerPoints]).toEqual([...prism(7).faceVertexIndices]);
    expect(mesh.faceOffsets.at(-1)).toBe(7 * 4 + 2 * 7);
  });

  it('copies its input and takes plain numbers as well as typed arrays', () => {
    const typed = cube();
    const mesh = buildMesh({
      points: [...typed.points],
      faceVertexCounts: [...typed.faceVertexCounts],
      faceVertexIndices: [...typed.faceVertexIndices],
    });
    expect(mesh).toEqual(buildMesh(typed));
    const before = mesh.points[0]!;
    typed.points[0] = 99;
    expect(mesh.points[0]).toBe(before);
  });
});

describe('buildMesh by law', () => {
  it('gives a sound structure for any mesh, manifold or not', () => {
    fc.assert(
      fc.property(meshes.any, ({ mesh }) => checkStructure(buildMesh(mesh))),
      { numRuns: 2 * RUNS },
    );
  });

  it('counts the same whatever the order of points, faces and corners', () => {
    fc.assert(
      fc.property(meshes.any, fc.integer({ min: 0, max: 1e6 }), ({ mesh }, seed) => {
        const counts = ({ vertexCount, edgeCount, shellCount, repairs }: Mesh) => [
          vertexCount,
          edgeCount,
          shellCount,
          repairs.map(({ kind }) => kind),
        ];
        const [before, after] = [buildMesh(mesh), buildMesh(shuffleMesh(mesh, seed).mesh)];
        // Where a one-sided loop is opened depends on where the walk starts, so only its kind is compared.
        if (before.repairs.some(({ kind }) => kind === 'one-sided-loop')) {
          expect(after.repairs.some(({ kind }) => kind === 'one-sided-loop')).toBe(true);
        } else expect(counts(after)).toEqual(counts(before));
      }),
      { numRuns: RUNS },
    );
  });

  it('does not see where the model stands, how it is turned and how large it is', () => {
    fc.assert(
      fc.property(meshes.any, fc.constantFrom(0.001, 1000), ({ mesh }, factor) => {
        const moved = buildMesh(
          translateMesh(scaleMesh(rotateMesh(mesh, [3, 1, 2], 77), factor), [factor, 0, -factor]),
        );
        const { twin, cornerVertices } = buildMesh(mesh);
        expect(moved.twin).toEqual(twin);
        expect(moved.cornerVertices).toEqual(cornerVertices);
      }),
      { numRuns: RUNS },
    );
  });

  it('gives the same bytes twice', () => {
    fc.assert(
      fc.property(meshes.any, ({ mesh }) => {
        expect(buildMesh(mesh)).toEqual(buildMesh(mesh));
      }),
      { numRuns: 20 },
    );
  });

  it('joins shells to shells', () => {
    fc.assert(
      fc.property(meshes.manifold, meshes.manifold, (a, b) => {
        const joined = buildMesh(joinMeshes([a.mesh, translateMesh(b.mesh, [0, 1e6, 0])]), {
          weldTolerance: 0,
        });
        expect(joined.shellCount).toBe(a.shells + b.shells);
      }),
      { numRuns: 20 },
    );
  });
});

describe('welding', () => {
  it('rebuilds any mesh from its soup of faces', () => {
    fc.assert(
      fc.property(meshes.closed, ({ mesh }) => {
        const soup = buildMesh(explodeMesh(mesh));
        const whole = buildMesh(mesh);
        expect([soup.vertexCount, soup.edgeCount, soup.shellCount]).toEqual([
          whole.vertexCount,
          whole.edgeCount,
          whole.shellCount,
        ]);
        expect(soup.twin).toEqual(whole.twin);
      }),
      { numRuns: RUNS },
    );
  });

  it('joins within the tolerance only, a share of the diagonal', () => {
    const gap = (distance: number) =>
      joinMeshes([gridPatch(1), translateMesh(gridPatch(1), [1 + distance, 0, 0])]);
    const shells = (distance: number, weldTolerance?: number) =>
      buildMesh(gap(distance), weldTolerance === undefined ? {} : { weldTolerance }).shellCount;
    // The diagonal is √5.
    expect(shells(0.9e-7 * Math.sqrt(5))).toBe(1);
    expect(shells(1.1e-7 * Math.sqrt(5))).toBe(2);
    expect(shells(0)).toBe(1);
    expect(shells(0, 0)).toBe(2);
    expect(shells(0.9e-3 * Math.sqrt(5), 1e-3)).toBe(1);
  });

  it('names a welded vertex by its lowest point and reports the others', () => {
    const mesh = buildMesh(joinMeshes([gridPatch(1), translateMesh(gridPatch(1), [1, 0, 0])]));
    const { kind, elements } = mesh.repairs[0]!;
    expect(kind).toBe('welded-points');
    expect(elements.length).toBe(2);
    expect(elements.every((p) => p >= 4)).toBe(true);
    expect(mesh.vertexCount).toBe(6);
  });

  it('agrees with comparing every pair, at any tolerance', () => {
    const cloud = fc.array(
      fc.tuple(
        fc.integer({ min: 0, max: 40 }),
        fc.integer({ min: 0, max: 40 }),
        fc.integer({ min: 0, max: 3 }),
      ),
      {
        minLength: 2,
        maxLength: 60,
      },
    );
    fc.assert(
      fc.property(cloud, fc.integer({ min: 1, max: 8 }), (places, distance) => {
        const points = Float64Array.from(places.flat());
        const isUsed = Uint8Array.from(places, (_, p) => (p % 7 === 3 ? 0 : 1));
        const groups = places.map((_, p) => p);
        for (let round = 0; round < places.length; round++)
          for (let p = 0; p < places.length; p++)
            for (let q = 0; q < places.length; q++) {
              if (!isUsed[p] || !isUsed[q]) continue;
              const gap = Math.hypot(...[0, 1, 2].map((k) => places[p]![k]! - places[q]![k]!));
              if (gap <= distance) groups[p] = Math.min(groups[p]!, groups[q]!);
            }
        expect([...weldPoints(points, isUsed, distance)]).toEqual(groups);
      }),
      { numRuns: 30 },
    );
  });

  it('takes a flat model in its stride, however it stands', () => {
    const soup = explodeMesh(gridPatch(120));
    for (const axis of [
      [1, 0, 0],
      [0, 1, 0],
    ] as const)
      expect(buildMesh(rotateMesh(soup, axis, 90)).vertexCount).toBe(121 * 121);
  });
});

describe('repairs', () => {
  const squares = (count: number) =>
    Array.from({ length: count }, (_, i) => rotateMesh(gridPatch(1), [0, 1, 0], (360 * i) / count));

  it('treats an edge of three faces as cut on each', () => {
    const mesh = buildMesh(joinMeshes(squares(3)));
    expect(mesh.shellCount).toBe(3);
    expect(mesh.edgeCount).toBe(12);
    const { elements } = mesh.repairs.find(({ kind }) => kind === 'non-manifold-edge')!;
    // Three half-edges, two points each, all on the common edge x = z = 0.
    expect(elements.length).toBe(6);
    expect(elements.every((p) => Math.hypot(mesh.points[3 * p]!, mesh.points[3 * p + 2]!) < 1e-12)).toBe(
      true,
    );
    checkStructure(mesh);
  });

  it('splits a pinched vertex into its fans', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 0, 1, 0, -1, 0, 0, 0, -1, 0],
      faceVertexCounts: [3, 3],
      faceVertexIndices: [0, 1, 2, 0, 3, 4],
    });
    expect(mesh.vertexCount).toBe(6);
    expect(mesh.shellCount).toBe(2);
    expect(mesh.repairs).toMatchObject([{ kind: 'pinched-vertex', element: 'point', elements: [0] }]);
  });

  it('carries a flat face along with its neighbours', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 0.5, 0, 0],
      faceVertexCounts: [4, 3],
      faceVertexIndices: [0, 1, 2, 3, 1, 0, 4],
    });
    expect(mesh.shellCount).toBe(1);
    expect(mesh.repairs).toMatchObject([{ kind: 'zero-area-face', elements: [1] }]);
  });

  it('sets a duplicate and a collapsed face apart, each a shell of its own', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 1, 1, 0],
      faceVertexCounts: [4, 4, 3],
      faceVertexIndices: [0, 1, 2, 3, 3, 2, 1, 0, 1, 2, 4],
    });
    expect(mesh.shellCount).toBe(3);
    expect(mesh.repairs.map(({ kind, elements }) => [kind, elements])).toEqual([
      ['zero-area-face', [2]],
      ['welded-points', [4]],
      ['collapsed-face', [2]],
      ['duplicate-face', [1]],
    ]);
    checkStructure(mesh);
  });
});
