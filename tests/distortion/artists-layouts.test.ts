import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { measureLayout } from '../../src/distortion/index.js';
import { buildMesh } from '../../src/mesh/index.js';

const FOLDER = new URL('../../../shared/meshes/', import.meta.url);

/** Figures of an evaluator that shares no code with the library; polygons as fans from their first corner there. */
const BASELINE = {
  'human-quad-a': {
    up: 1,
    charts: 9,
    disks: 8,
    energy: 4.46,
    global: 5.11,
    l2: 1.25,
    mirrored: 0,
    fill: 0.62,
  },
  'lowtri-a': { up: 1, charts: 16, disks: 13, energy: 4.26, global: 4.27, l2: 1.06, mirrored: 0, fill: 0.49 },
  'blocky-a': { up: 1, charts: 12, disks: 11, energy: 4.75, global: 5.02, l2: 1.2, mirrored: 5, fill: 0.55 },
} as const;

function readLayout(text: string) {
  const points: number[] = [];
  const uvs: number[][] = [];
  const counts: number[] = [];
  const corners: number[] = [];
  const cornerUvs: number[] = [];
  for (const line of text.split('\n')) {
    const [word, ...rest] = line.trim().split(/\s+/);
    if (word === 'v') points.push(...rest.slice(0, 3).map(Number));
    else if (word === 'vt') uvs.push(rest.slice(0, 2).map(Number));
    else if (word === 'f') {
      counts.push(rest.length);
      for (const corner of rest) {
        const [p, t] = corner.split('/').map(Number) as [number, number];
        corners.push(p - 1);
        cornerUvs.push(...uvs[t - 1]!);
      }
    }
  }
  return { mesh: buildMesh({ points, faceVertexCounts: counts, faceVertexIndices: corners }), cornerUvs };
}

describe('layouts made by artists', () => {
  const isThere = existsSync(FOLDER);
  if (!isThere) console.log('artists’ layouts: skipped, the folder of sample meshes is not there');
  it.skipIf(!isThere).each(Object.entries(BASELINE))(
    '%s measures as by the independent evaluator',
    (name, known) => {
      const { mesh, cornerUvs } = readLayout(readFileSync(new URL(`${name}/mesh.obj`, FOLDER), 'utf8'));
      const report = measureLayout(mesh, cornerUvs);
      expect(report.charts.length).toBe(known.charts);
      expect(report.diskCount).toBe(known.disks);
      expect(report.mirroredCharts.length).toBe(known.mirrored);
      expect(report.fill).toBeCloseTo(known.fill, 1);
      // Polygons count by the mean of all their fans here, by one fan there.
      expect(Math.abs(report.energy / known.energy - 1)).toBeLessThan(0.02);
      expect(Math.abs(report.energyGlobal / known.global - 1)).toBeLessThan(0.03);
      expect(Math.abs(report.stretchL2 / known.l2 - 1)).toBeLessThan(0.02);
    },
  );
});
