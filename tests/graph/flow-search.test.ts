import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildSpokes, FlowSearch, findVertexPath } from '../../src/graph/index.js';
import { buildMesh, computeCornerAngles, computeEdgeLengths } from '../../src/mesh/index.js';
import { gridPatch } from '../../src/testing/index.js';

const side = 6;
const mesh = buildMesh(gridPatch(side));
const spokes = buildSpokes(mesh, computeCornerAngles(mesh));
const lengths = computeEdgeLengths(mesh);
const vertexAt = (column: number, row: number): number => {
  for (let v = 0; v < mesh.vertexCount; v++) {
    const p = 3 * mesh.vertexPoints[v]!;
    const x = mesh.points[p]! - mesh.points[0]!;
    const y = mesh.points[p + 1]! - mesh.points[1]!;
    const step = lengths[0]!;
    if (Math.abs(x - column * step) < 1e-9 && Math.abs(y - row * step) < 1e-9) return v;
  }
  throw new Error(`no vertex at ${column}, ${row}`);
};

describe('FlowSearch', () => {
  it('goes straight along a row of quads', () => {
    const search = new FlowSearch(spokes, lengths);
    const goal = vertexAt(5, 2);
    const path = search.find({ sources: [vertexAt(1, 2)], isTarget: (v) => v === goal })!;
    expect(path.edges).toHaveLength(4);
    expect(path.cost).toBeCloseTo(4 * lengths[0]!, 12);
  });

  it('turns once where a zig-zag would be as short', () => {
    const search = new FlowSearch(spokes, lengths);
    const goal = vertexAt(5, 5);
    const path = search.find({ sources: [vertexAt(1, 1)], isTarget: (v) => v === goal })!;
    expect(path.edges).toHaveLength(8);
    let turns = 0;
    for (let i = 1; i + 1 < path.vertices.length; i++) {
      const [a, b, c] = [path.vertices[i - 1]!, path.vertices[i]!, path.vertices[i + 1]!].map(
        (v) => 3 * mesh.vertexPoints[v]!,
      );
      const cross =
        (mesh.points[b!]! - mesh.points[a!]!) * (mesh.points[c! + 1]! - mesh.points[b! + 1]!) -
        (mesh.points[b! + 1]! - mesh.points[a! + 1]!) * (mesh.points[c!]! - mesh.points[b!]!);
      if (Math.abs(cross) > 1e-9) turns++;
    }
    expect(turns).toBe(1);
  });

  it('without a weight on turns costs the same as a plain shortest path', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.1, max: 10, noNaN: true }), {
          minLength: mesh.edgeCount,
          maxLength: mesh.edgeCount,
        }),
        fc.nat(mesh.vertexCount - 1),
        fc.nat(mesh.vertexCount - 1),
        (costs, from, to) => {
          fc.pre(from !== to);
          const edgeCosts = Float64Array.from(costs);
          const path = new FlowSearch(spokes, edgeCosts, 0).find({
            sources: [from],
            isTarget: (v) => v === to,
          })!;
          const oracle = findVertexPath(mesh, [from], [to], edgeCosts)!;
          expect(path.cost).toBeCloseTo(oracle.cost, 9);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('gives the same answer when it is used again, and none where the way is blocked', () => {
    const search = new FlowSearch(spokes, lengths);
    const goal = vertexAt(4, 4);
    const query = { sources: [vertexAt(1, 1)], isTarget: (v: number) => v === goal };
    expect(search.find(query)).toEqual(search.find(query));
    expect(search.find({ ...query, isEdgeBlocked: () => true })).toBeUndefined();
    expect(search.find({ ...query, maxCost: lengths[0]! })).toBeUndefined();
  });
});
