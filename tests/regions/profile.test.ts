import { describe, expect, it } from 'vitest';
import { findBase } from '../../src/regions/find-base.js';
import type { Profile } from '../../src/regions/profile.js';
import { halveProfile, measureProfile, OpenProfile } from '../../src/regions/profile.js';
import { gridSurface } from './surfaces.js';

describe('measureProfile', () => {
  const surface = gridSurface(50);
  const fromCentre = Float64Array.from({ length: surface.vertexCount }, (_, v) =>
    Math.hypot(surface.positions[3 * v]! - 0.5, surface.positions[3 * v + 1]! - 0.5),
  );

  it('finds circles about a point: length 2πr, area πr²', () => {
    const { step, lengths, areas } = measureProfile(surface, fromCentre, 0.02);
    for (let i = 4; i < 24; i++) {
      const radius = (i + 0.5) * step;
      expect(lengths[i]! / (2 * Math.PI * radius)).toBeCloseTo(1, 1);
      expect(areas[i]! / (Math.PI * (i * step) ** 2)).toBeCloseTo(1, 0);
    }
    expect(areas.at(-1)).toBeCloseTo(1, 10);
  });

  it('finds straight lines across a square: length 1 at every level', () => {
    const x = Float64Array.from({ length: surface.vertexCount }, (_, v) => surface.positions[3 * v]!);
    for (const length of measureProfile(surface, x, 0.03).lengths.subarray(0, 33))
      expect(length).toBeCloseTo(1, 10);
  });

  it('is empty once every triangle is taken off, and else what the rest alone would give', () => {
    const profile = new OpenProfile(surface, fromCentre, 0.02);
    const whole = profile.read();
    const half = Array.from({ length: surface.triangleCount / 2 }, (_, t) => t);
    profile.remove(half);
    const rest = profile.read();
    for (let i = 2; i < 20; i++) expect(rest.lengths[i]! / whole.lengths[i]!).toBeCloseTo(0.5, 1);
    expect(rest.areas.at(-1)).toBeCloseTo(0.5, 10);
    profile.remove(half.map((t) => t + half.length));
    expect(Math.max(...profile.read().lengths)).toBe(0);
    expect(profile.read().areas.at(-1)).toBeCloseTo(0, 10);
  });

  it('keeps areas and mean lengths when halved', () => {
    const fine = measureProfile(surface, fromCentre, 0.01);
    const half = halveProfile(fine);
    expect(half.step).toBeCloseTo(0.02, 12);
    expect(half.areas.at(-1)).toBe(fine.areas.at(-1));
    expect(half.lengths[3]).toBeCloseTo((fine.lengths[6]! + fine.lengths[7]!) / 2, 12);
  });
});

describe('findBase', () => {
  const profileOf = (length: (level: number) => number, reach: number, step = 0.02): Profile => {
    const lengths = Float64Array.from({ length: Math.round(reach / step) }, (_, i) =>
      length((i + 0.5) * step),
    );
    return { step, lengths, areas: new Float64Array(lengths.length + 1) };
  };
  /** A round-ended tube of radius 1 and length 8 that stands on a plane. */
  const finger = (level: number) => {
    if (level < Math.PI / 2) return 2 * Math.PI * Math.sin(level);
    return level < 8 ? 2 * Math.PI : 2 * Math.PI * (1 + level - 8);
  };

  it('ends a tube on a plane where it meets the plane', () => {
    const base = findBase(profileOf(finger, 20))!;
    expect(base.level).toBeGreaterThan(7.5);
    expect(base.level).toBeLessThan(8.5);
    expect(base.length / (2 * Math.PI)).toBeCloseTo(1, 0);
    expect(base.growthBefore).toBeCloseTo(0, 1);
  });

  it('does not depend on scale', () => {
    const small = findBase(profileOf(finger, 20))!;
    const large = findBase(profileOf((level) => 100 * finger(level / 100), 2000, 2))!;
    expect(large.level / 100).toBeCloseTo(small.level, 8);
  });

  it('finds nothing on a tube, a cone, a plane or a tube with a bulge', () => {
    expect(findBase(profileOf(() => 2 * Math.PI, 20))).toBeUndefined();
    expect(findBase(profileOf((level) => 2 * Math.PI * 0.4 * level, 20))).toBeUndefined();
    expect(findBase(profileOf((level) => 2 * Math.PI * level, 20))).toBeUndefined();
    const bulge = (level: number) => 2 * Math.PI * (1 + 0.8 * Math.exp(-((level - 8) ** 2)));
    expect(findBase(profileOf(bulge, 20), 2)).toBeUndefined();
  });
});
