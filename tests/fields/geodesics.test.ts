import { describe, expect, test } from 'vitest';
import type { GeodesicOptions } from '../../src/fields/index.js';
import { computeGeodesicDistances, computeThickness } from '../../src/fields/index.js';
import type { Mesh, MeshInput } from '../../src/mesh/index.js';
import { computeFaceGeometry, computeVertexPositions } from '../../src/mesh/index.js';
import {
  cells,
  creature,
  joined,
  meshOf,
  moved,
  patch,
  shuffle,
  sphere,
  triangulated,
  tube,
} from './shapes.js';

/** Mean and greatest relative error against known distances from vertex `source`. */
function errors(mesh: Mesh, source: number, truth: (v: number) => number, options: GeodesicOptions = {}) {
  const distances = computeGeodesicDistances(mesh, [source], options);
  let total = 0;
  let worst = 0;
  for (let v = 0; v < mesh.vertexCount; v++) {
    if (v === source) continue;
    const error = Math.abs(distances[v]! / truth(v) - 1);
    total += error;
    worst = Math.max(worst, error);
  }
  return { mean: total / (mesh.vertexCount - 1), worst };
}

const greatCircle = (mesh: Mesh, source: number) => {
  const p = computeVertexPositions(mesh);
  return (v: number) => {
    const cosine = [0, 1, 2].reduce((sum, k) => sum + p[3 * v + k]! * p[3 * source + k]!, 0);
    return Math.acos(Math.max(-1, Math.min(1, cosine)));
  };
};

describe('computeGeodesicDistances', () => {
  for (const [name, input] of [
    ['quads', patch(12, 9)],
    ['triangles', triangulated(patch(12, 9))],
  ] as const)
    test(`on a flat patch of ${name} smooth distances are straight lines`, () => {
      const mesh = meshOf(input);
      const p = computeVertexPositions(mesh);
      const straight = (v: number) => Math.hypot(p[3 * v]! - p[0]!, p[3 * v + 1]! - p[1]!);
      expect(errors(mesh, 0, straight).worst).toBeLessThan(1e-9);
    });

  test('on a sphere the error is under 2 % and shrinks as the mesh gets finer', () => {
    for (const make of [(n: number) => sphere(n), (n: number) => triangulated(sphere(n))]) {
      const means = [8, 16, 32].map((n) => {
        const mesh = meshOf(make(n));
        return errors(mesh, 7, greatCircle(mesh, 7)).mean;
      });
      expect(means[0]).toBeLessThan(0.02);
      expect(means[1]).toBeLessThan(0.75 * means[0]!);
      expect(means[2]).toBeLessThan(0.75 * means[1]!);
      expect(means[2]).toBeLessThan(0.005);
    }
  });

  test('round an unrolled tube distances are those of the flat strip', () => {
    const sides = 48;
    const mesh = meshOf(tube(sides, 30, 1, 6));
    const p = computeVertexPositions(mesh);
    const source = Array.from({ length: mesh.vertexCount }, (_, v) => v).find(
      (v) => Math.abs(p[3 * v]! - 1) < 1e-9 && Math.abs(p[3 * v + 1]! - 3) < 1e-9,
    )!;
    const round = 2 * sides * Math.sin(Math.PI / sides);
    const strip = (v: number) => {
      const angle = Math.abs(Math.atan2(p[3 * v + 2]!, p[3 * v]!)) / (2 * Math.PI);
      return Math.hypot(angle * round, p[3 * v + 1]! - 3);
    };
    expect(errors(mesh, source, strip).worst).toBeLessThan(1e-6);
  });

  test('from a ring of sources a tube is measured along its length', () => {
    for (const input of [tube(16, 12, 1, 3), triangulated(tube(16, 12, 1, 3))]) {
      const mesh = meshOf(input);
      const p = computeVertexPositions(mesh);
      const ring = Array.from({ length: mesh.vertexCount }, (_, v) => v).filter((v) => p[3 * v + 1] === 0);
      const distances = computeGeodesicDistances(mesh, ring);
      for (let v = 0; v < mesh.vertexCount; v++)
        expect(Math.abs(distances[v]! - p[3 * v + 1]!)).toBeLessThan(0.03 * p[3 * v + 1]! + 1e-12);
    }
  });

  test('edges-only distances on a grid are those of the city block', () => {
    const mesh = meshOf(patch(6, 5));
    const p = computeVertexPositions(mesh);
    const distances = computeGeodesicDistances(mesh, [0], { method: 'edges' });
    distances.forEach((d, v) => {
      expect(d).toBeCloseTo(Math.abs(p[3 * v]! - p[0]!) + Math.abs(p[3 * v + 1]! - p[1]!), 12);
    });
  });

  test('laws: zero at sources, smooth never above edges, nearest of several, infinite across shells', () => {
    const mesh = meshOf(joined(creature(2), sphere(2)));
    const sources = [3, 40, 77];
    const smooth = computeGeodesicDistances(mesh, sources);
    const edges = computeGeodesicDistances(mesh, sources, { method: 'edges' });
    for (const v of sources) expect(smooth[v]).toBe(0);
    for (let v = 0; v < mesh.vertexCount; v++) expect(smooth[v]! <= edges[v]! + 1e-12).toBe(true);
    const single = sources.map((s) => computeGeodesicDistances(mesh, [s]));
    for (let v = 0; v < mesh.vertexCount; v++) {
      const nearest = Math.min(...single.map((d) => d[v]!));
      if (nearest === Infinity) expect(smooth[v]).toBe(Infinity);
      // Where two fronts meet, a triangle may take one's distance at one corner and the other's at the next.
      else expect(Math.abs(smooth[v]! - nearest)).toBeLessThan(0.02 * mesh.diagonal);
    }
    expect([...smooth].filter((d) => d === Infinity)).toHaveLength(26);
    expect(computeGeodesicDistances(mesh, []).every((d) => d === Infinity)).toBe(true);
    const near = computeGeodesicDistances(mesh, [3], { maxDistance: 2 });
    near.forEach((d, v) => {
      expect(d === single[0]![v] || (d === Infinity && single[0]![v]! > 2)).toBe(true);
    });
  });

  test('the order of points and faces has no say, and scale is carried through', () => {
    const input = creature(2);
    const mesh = meshOf(input);
    const base = computeGeodesicDistances(mesh, [mesh.cornerVertices[0]!]);
    const shuffled = shuffle(
      moved(input, ([x, y, z]) => [1000 * x, 1000 * y, 1000 * z]),
      9,
    );
    const other = meshOf(shuffled.input);
    const pointVertex = (m: Mesh) => {
      const map = new Int32Array(m.pointCount);
      for (let c = 0; c < m.cornerCount; c++) map[m.cornerPoints[c]!] = m.cornerVertices[c]!;
      return map;
    };
    const [before, after] = [pointVertex(mesh), pointVertex(other)];
    const source = shuffled.points.indexOf(mesh.cornerPoints[0]!);
    const distances = computeGeodesicDistances(other, [after[source]!]);
    shuffled.points.forEach((old, p) => {
      expect(distances[after[p]!]! / 1000).toBeCloseTo(base[before[old]!]!, 9);
    });
  });

  test('refuses a source that is no vertex', () => {
    for (const source of [-1, 1e9, 0.5, NaN])
      expect(() => computeGeodesicDistances(meshOf(sphere(2)), [source])).toThrowError(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
    expect(() =>
      computeGeodesicDistances(meshOf(sphere(2)), [0], { method: 'fast' as 'edges' }),
    ).toThrowError(expect.objectContaining({ code: 'OPTION_INVALID' }));
  });
});

describe('computeThickness', () => {
  const median = (values: Float64Array) => [...values].sort((a, b) => a - b)[values.length >> 1]!;

  test('of a tube is near its diameter, whatever its size', () => {
    for (const radius of [0.05, 0.2]) {
      const { faceThickness } = computeThickness(meshOf(tube(24, 30, radius, 3)));
      expect(Math.abs(median(faceThickness) / (2 * radius) - 1)).toBeLessThan(0.06);
    }
  });

  test('of a flat slab is its height, but at its rim', () => {
    const slab: [number, number, number][] = [];
    for (let x = 0; x < 20; x++) for (let z = 0; z < 20; z++) slab.push([x, 0, z]);
    const mesh = meshOf(cells(slab));
    const { faceThickness } = computeThickness(mesh);
    const { faceNormals } = computeFaceGeometry(mesh);
    // Lines up to 60° off the normal are up to twice as long as the slab is high; the median lies between.
    const top = [...faceThickness].filter((_, f) => Math.abs(faceNormals[3 * f + 1]!) > 0.5);
    expect(Math.min(...top)).toBeGreaterThan(0.99);
    expect(median(Float64Array.from(top))).toBeLessThan(1.6);
  });

  test('tells limbs from trunk, and a shell inside another does not shorten it', () => {
    const inside = moved(sphere(3, 0.2), ([x, y, z]) => [x, y + 1, z + 0.5]);
    const mesh = meshOf(joined(creature(3), inside));
    const alone = meshOf(creature(3));
    const thickness = computeThickness(mesh).faceThickness;
    const without = computeThickness(alone).faceThickness;
    const { faceCentroids } = computeFaceGeometry(alone);
    const far = [...without].filter((_, f) => Math.abs(faceCentroids[3 * f]!) > 3);
    const trunk = [...without].filter(
      (_, f) =>
        Math.abs(faceCentroids[3 * f]!) < 0.8 &&
        faceCentroids[3 * f + 1]! > 0.8 &&
        faceCentroids[3 * f + 1]! < 3,
    );
    expect(median(Float64Array.from(far))).toBeLessThan(0.85 * median(Float64Array.from(trunk)));
    for (let f = 0; f < alone.faceCount; f++) expect(thickness[f]).toBeCloseTo(without[f]!, 2);
  });

  test('is the same for any order of faces; a flat open patch has none', () => {
    const input: MeshInput = creature(2);
    const base = computeThickness(meshOf(input)).faceThickness;
    const shuffled = shuffle(input, 3);
    const other = computeThickness(meshOf(shuffled.input)).faceThickness;
    shuffled.faces.forEach((old, f) => {
      expect(other[f]).toBeCloseTo(base[old]!, 6);
    });
    expect(computeThickness(meshOf(patch(3, 3))).faceThickness.every((d) => d === Infinity)).toBe(true);
    expect(() => computeThickness(meshOf(input), { directions: 2 })).toThrowError(
      expect.objectContaining({ code: 'OPTION_INVALID' }),
    );
  });
});
