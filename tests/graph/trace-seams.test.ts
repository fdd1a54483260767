import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { traceSeams } from '../../src/graph/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  computeVertexPositions,
  EdgeFinder,
  edgeVertices,
  isBorderEdge,
  isBorderVertex,
} from '../../src/mesh/index.js';
import { gridPatch, meshArbitraries } from '../../src/testing/index.js';
import { cells, meshOf } from '../fields/shapes.js';

type Place = readonly [number, number];

/** A grid of 4 × 4 quads with corners at whole numbers, and what lies at them. */
function grid() {
  const mesh = buildMesh(gridPatch(4));
  const positions = computeVertexPositions(mesh);
  const placeOf = (v: number): Place => [positions[3 * v]!, positions[3 * v + 1]!];
  const at = ([x, y]: Place) =>
    Array.from({ length: mesh.vertexCount }, (_, v) => v).find(
      (v) => placeOf(v)[0] === x && placeOf(v)[1] === y,
    )!;
  const isSeam = new Uint8Array(mesh.edgeCount);
  const finder = new EdgeFinder(mesh);
  const pointAt = (place: Place) => mesh.vertexPoints[at(place)]!;
  const mark = (...places: readonly Place[]) => {
    const edges = places.slice(1).map((place, i) => finder.find(pointAt(places[i]!), pointAt(place))[0]!);
    for (const e of edges) isSeam[e] = 1;
    return edges;
  };
  return { mesh, at, placeOf, isSeam, mark };
}

/** Seam edges at each vertex, those of the mesh's border left out. */
function seamsAround(mesh: Mesh, isSeam: Uint8Array): Map<number, number[]> {
  const around = new Map<number, number[]>();
  for (let e = 0; e < mesh.edgeCount; e++)
    if (isSeam[e] && !isBorderEdge(mesh, e))
      for (const v of edgeVertices(mesh, e)) around.set(v, [...(around.get(v) ?? []), e]);
  return around;
}

describe('traceSeams', () => {
  test('finds border, junction and loose ends, and the arcs between them in order', () => {
    const { mesh, at, placeOf, isSeam, mark } = grid();
    mark([0, 2], [1, 2], [2, 2]);
    mark([2, 2], [2, 1]);
    mark([2, 2], [3, 2], [3, 3]);
    const { nodes, arcs } = traceSeams(mesh, isSeam);
    expect(
      nodes.map(({ vertex, degree, kind }) => [...placeOf(vertex), degree, kind].join(' ')).sort(),
    ).toEqual(['0 2 1 border', '2 1 1 end', '2 2 3 junction', '3 3 1 end']);
    const from = ({ vertices }: (typeof arcs)[number]) => [...vertices].map((v) => placeOf(v).join());
    const middle = at([2, 2]);
    for (const arc of arcs) if (arc.vertices[0] !== middle) expect(arc.vertices.at(-1)).toBe(middle);
    const outward = arcs.map((arc) => (arc.vertices[0] === middle ? from(arc) : from(arc).reverse()));
    expect(outward.map((list) => list.join(' ')).sort()).toEqual(['2,2 1,2 0,2', '2,2 2,1', '2,2 3,2 3,3']);
    expect(arcs.map(({ length }) => length).sort()).toEqual([1, 2, 2]);
  });

  test('breaks a closed seam at one vertex', () => {
    const { mesh, at, isSeam, mark } = grid();
    mark([1, 1], [2, 1], [2, 2], [1, 2], [1, 1]);
    const { nodes, arcs } = traceSeams(mesh, isSeam);
    const first = Math.min(...[at([1, 1]), at([2, 1]), at([2, 2]), at([1, 2])]);
    expect(nodes).toEqual([{ vertex: first, degree: 2, kind: 'loop' }]);
    expect(arcs).toHaveLength(1);
    expect([arcs[0]!.vertices[0], arcs[0]!.vertices.at(-1), arcs[0]!.length]).toEqual([first, first, 4]);
  });

  test('leaves out edges that are open already', () => {
    const { mesh, isSeam, mark } = grid();
    mark([0, 0], [0, 1], [0, 2]);
    expect(traceSeams(mesh, isSeam)).toEqual({ nodes: [], arcs: [] });
  });

  test('ends arcs where the label changes, but not where it stays', () => {
    const { mesh, at, isSeam, mark } = grid();
    const edges = mark([1, 1], [2, 1], [3, 1], [3, 2]);
    const labels = new Int32Array(mesh.edgeCount);
    labels[edges[1]!] = labels[edges[2]!] = 7;
    const { nodes, arcs } = traceSeams(mesh, isSeam, labels);
    expect(nodes.find(({ vertex }) => vertex === at([2, 1]))).toEqual({
      vertex: at([2, 1]),
      degree: 2,
      kind: 'junction',
    });
    expect(nodes).toHaveLength(3);
    expect(arcs.map(({ length }) => length).sort()).toEqual([1, 2]);
  });

  test('calls a vertex of the border so however many seams meet there', () => {
    const { points, faceVertexIndices } = cells([[0, 0, 0]]);
    const open = meshOf({
      points,
      faceVertexCounts: Array(5).fill(4),
      faceVertexIndices: Array.from(faceVertexIndices).slice(0, 20),
    });
    const { nodes } = traceSeams(open, new Uint8Array(open.edgeCount).fill(1));
    expect(nodes.filter(({ vertex }) => isBorderVertex(open, vertex)).map(({ kind }) => kind)).toEqual(
      Array(4).fill('border'),
    );
    expect(nodes.filter(({ kind }) => kind === 'junction').map(({ degree }) => degree)).toEqual(
      Array(4).fill(3),
    );
  });

  test('passes each seam edge once, along arcs that only their ends interrupt, on any mesh', () => {
    fc.assert(
      fc.property(
        meshArbitraries(fc).any.chain(({ mesh }) => {
          const built = buildMesh(mesh);
          return fc.tuple(
            fc.constant(built),
            fc.uint8Array({ min: 0, max: 1, minLength: built.edgeCount, maxLength: built.edgeCount }),
            fc.uint8Array({ min: 0, max: 1, minLength: built.edgeCount, maxLength: built.edgeCount }),
          );
        }),
        ([mesh, isSeam, labels]) => {
          const { nodes, arcs } = traceSeams(mesh, isSeam, labels);
          const around = seamsAround(mesh, isSeam);
          const isNode = new Set(nodes.map(({ vertex }) => vertex));
          const met = arcs.flatMap(({ edges }) => [...edges]).sort((a, b) => a - b);
          expect(met).toEqual([...new Set([...around.values()].flat())].sort((a, b) => a - b));
          for (const { edges, vertices } of arcs) {
            edges.forEach((e, i) => {
              expect([...edgeVertices(mesh, e)].sort()).toEqual([vertices[i]!, vertices[i + 1]!].sort());
            });
            expect([vertices[0]!, vertices.at(-1)!].every((v) => isNode.has(v))).toBe(true);
            expect([...vertices.slice(1, -1)].some((v) => isNode.has(v))).toBe(false);
          }
          for (const { vertex, degree, kind } of nodes) {
            expect(degree).toBe(around.get(vertex)!.length);
            if (kind === 'loop') expect(isBorderVertex(mesh, vertex)).toBe(false);
          }
          for (const [v, edges] of around) {
            const mustEnd =
              edges.length !== 2 || isBorderVertex(mesh, v) || labels[edges[0]!] !== labels[edges[1]!];
            if (mustEnd) expect(isNode.has(v)).toBe(true);
          }
        },
      ),
      { numRuns: 40 },
    );
  });
});
