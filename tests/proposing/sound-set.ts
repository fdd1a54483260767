import { expect } from 'vitest';
import { measureLayout } from '../../src/distortion/index.js';
import { flattenCharts } from '../../src/flattening/index.js';
import { arrangeCharts } from '../../src/layout/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import type { SeamSet } from '../../src/proposing/index.js';
import { expectCovering, expectDiskCharts } from '../../src/testing/index.js';

/** Asserts that a set goes all the way: whole, disks, flattened and arranged with nothing turned over, on top of another or outside. */
export function expectSoundSet(mesh: Mesh, set: SeamSet): void {
  expectDiskCharts(mesh, set);
  expectCovering(mesh, set);
  const flat = flattenCharts(mesh, set);
  expect(flat.charts.flatMap((chart) => chart.flippedFaces)).toEqual([]);
  const layout = arrangeCharts(mesh, flat, { effort: 0 });
  const report = measureLayout(mesh, layout.uvs, { resolution: layout.resolution });
  expect(report.charts.length).toBe(set.charts.length);
  expect(report.diskCount).toBe(set.charts.length);
  expect(report.flippedFaces).toEqual([]);
  expect(report.mirroredCharts).toEqual([]);
  expect(report.overlaps.pairs).toEqual([]);
  expect(report.outsideFaces).toEqual([]);
}
