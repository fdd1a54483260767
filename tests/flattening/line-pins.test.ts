import { describe, expect, it } from 'vitest';
import { flattenCharts } from '../../src/flattening/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { gridPatch } from '../../src/testing/index.js';

describe('lines of points in flattenCharts', () => {
  const mesh = buildMesh(gridPatch(8, 8, (x, y) => 0.4 * Math.sin(5 * x + 1) * Math.cos(4 * y)));
  // A slanting chain of inner points, which a free map would bend.
  const line = [20, 30, 39, 49, 58];

  it('come out straight and upright, the first lowest', () => {
    const [chart] = flattenCharts(mesh, { seams: [] }, { lines: [line, [0, 99999]] }).charts;
    const place = (point: number) => {
      const c = chart!.corners.findIndex((corner) => mesh.cornerPoints[corner] === point);
      return [chart!.uvs[2 * c]!, chart!.uvs[2 * c + 1]!] as const;
    };
    const places = line.map(place);
    for (const [u] of places) expect(u).toBeCloseTo(places[0]![0], 6);
    expect(places[4]![1]).toBeGreaterThan(places[0]![1]);
    expect(chart!.flippedFaces).toEqual([]);
  });

  it('change nothing where no chart has two of their points', () => {
    const free = flattenCharts(mesh, { seams: [] }).charts[0]!.uvs;
    expect(flattenCharts(mesh, { seams: [] }, { lines: [[20], []] }).charts[0]!.uvs).toEqual(free);
  });
});
