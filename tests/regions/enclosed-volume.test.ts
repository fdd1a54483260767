import { describe, expect, it } from 'vitest';
import { buildMesh } from '../../src/mesh/index.js';
import { enclosedVolume } from '../../src/regions/enclosed-volume.js';
import type { TriangleSurface } from '../../src/regions/triangle-surface.js';
import { buildTriangleSurface } from '../../src/regions/triangle-surface.js';
import { tubeMesh } from './surfaces.js';

const AROUND = 24;
/** Area of a regular polygon of radius 1. */
const POLYGON = (AROUND / 2) * Math.sin((2 * Math.PI) / AROUND);

/** A tube cut off at both ends, each quad split in two. */
function tube(radius: (t: number) => number, height = 5): TriangleSurface {
  const mesh = buildMesh(tubeMesh(AROUND, 4, height, radius));
  const triangles: number[] = [];
  for (let f = 0; f < mesh.faceCount; f++) {
    const [a, b, c, d] = mesh.cornerPoints.subarray(4 * f, 4 * f + 4);
    triangles.push(a!, b!, c!, a!, c!, d!);
  }
  return buildTriangleSurface(Float64Array.from(mesh.points), Int32Array.from(triangles));
}

const whole = (surface: TriangleSurface) => Array.from({ length: surface.triangleCount }, (_, t) => t);

describe('enclosedVolume', () => {
  it('is that of a prism, both ends being closed', () => {
    const surface = tube(() => 1);
    expect(enclosedVolume(surface, whole(surface)) / 6).toBeCloseTo(5 * POLYGON, 10);
  });

  it('is that of a frustum, whichever end is the wider', () => {
    // h/3 (A + √(A B) + B), Euclid's Elements, book XII.
    const expected = (5 / 3) * POLYGON * (1 + 0.2 + 0.04);
    for (const radius of [(t: number) => 1 - 0.8 * t, (t: number) => 0.2 + 0.8 * t]) {
      const surface = tube(radius);
      expect(enclosedVolume(surface, whole(surface)) / 6).toBeCloseTo(expected, 10);
    }
  });

  it('is below 0 turned inside out, and 0 without a rim', () => {
    const { positions, triangles, triangleCount } = tube(() => 1);
    const turned = buildTriangleSurface(positions, triangles.slice().reverse());
    expect(
      enclosedVolume(
        turned,
        Array.from({ length: triangleCount }, (_, t) => t),
      ) / 6,
    ).toBeCloseTo(-5 * POLYGON, 10);
    expect(enclosedVolume(turned, [])).toBe(0);
  });
});
