import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/math/index.js';
import { dot, normalize, subtract, vec3At } from '../../src/math/index.js';
import type { Seam } from '../../src/proposing/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { marionetteVariants } from '../../src/testing/index.js';
import type { RestPose } from './rest-pose.js';
import { makeAtRest, partName, restEdges } from './rest-pose.js';

/*
 * Facts of the trade on variants of the marionette; common practice, no source. All are judged at rest,
 * point by point, whatever the pose in which the seams were proposed.
 */
const isLong = Boolean(process.env.SEAMWRIGHT_LONG);
const variants = marionetteVariants(100, { seed: 5, least: 700, most: isLong ? 6000 : 1500 });
const chosen = isLong ? variants : variants.slice(0, 5);
const total = (list: readonly { readonly length: number }[]) =>
  list.reduce((sum, { length }) => sum + length, 0);

describe.each(chosen.map((options, i) => [i, options] as const))('marionette %i', (_, options) => {
  const rest = makeAtRest(options);
  const proposal = proposeSeams(rest.mesh);

  it('has the opening of its head at the back, within 10 degrees of the mirror plane', async () => {
    const { head } = rest;
    for (const set of (await proposal).sets) {
      const opening = restEdges(rest, set.seams).filter(
        ({ seam, parts, middle }) =>
          seam.role === 'opening' &&
          parts.every((name) => name === 'head') &&
          !isInside(seam) &&
          // A torso's opening may reach up the neck to the collar.
          seam.part !== 'torso' &&
          // Over the crown every direction is near the axis.
          middle[1] < head.high - 0.2 * (head.high - head.low),
      );
      const beside = opening.filter(({ middle: [x, , z] }) => {
        const angle = Math.atan2(Math.abs(x), head.middle - z);
        return angle > (10 * Math.PI) / 180;
      });
      expect(total(beside), `${set.name}: length beside the plane`).toBeCloseTo(0, 9);
    }
  });

  it('has at least nine tenths of the limbs’ openings on the inner or rear half', async () => {
    const limbs = describeLimbs(rest);
    for (const set of (await proposal).sets) {
      const openings = restEdges(rest, set.seams).filter(
        ({ seam, parts }) =>
          seam.role === 'opening' &&
          // A torso's opening may reach past the shoulder to the arm's collar.
          seam.part !== 'torso' &&
          parts.every((name) => name === 'arm' || name === 'leg'),
      );
      const hidden = openings.filter(({ middle, parts }) => {
        const limb = limbs.find(({ name, side }) => name === parts[0] && side === Math.sign(middle[0]));
        // Nothing lies further in than the plane between the limbs.
        if (!limb) return true;
        const across = subtract(middle, limb.centreNear(middle));
        return dot(across, limb.inner) >= 0 || across[2] <= 0;
      });
      if (openings.length === 0) continue;
      expect(total(hidden) / total(openings), set.name).toBeGreaterThanOrEqual(0.9);
    }
  });

  it('has no seam on the front third of its face but rings', async () => {
    const { head } = rest;
    for (const set of (await proposal).sets) {
      const onFace = restEdges(rest, set.seams).filter(
        ({ seam, parts, middle }) =>
          parts.every((name) => name === 'head') &&
          !isRing(seam) &&
          !isInside(seam) &&
          middle[2] > head.back + (2 / 3) * (head.front - head.back),
      );
      expect(
        onFace.map(({ seam }) => seam.reason),
        set.name,
      ).toEqual([]);
    }
  });
});

/** A collar is a ring even where other seams meet it and part it in arcs. */
const isRing = (seam: Seam) => seam.role === 'collar' || seam.vertices[0] === seam.vertices.at(-1);
/** Seams within a mouth or behind an eyeball, which nobody sees. */
const isInside = (seam: Seam) => seam.exposure < 0.05;

interface Limb {
  readonly name: string;
  readonly side: number;
  /** Towards the body's middle, across the limb. */
  readonly inner: Vec3;
  /** Centre of the limb beside a place. */
  readonly centreNear: (p: Vec3) => Vec3;
}

/** The limbs at rest: a straight axis from the body outwards, with the centres of the limb's rings along it. */
function describeLimbs({ puppet, mesh, restPoints }: RestPose): Limb[] {
  return ['arm', 'leg'].flatMap((name) =>
    [1, -1].map((side): Limb => {
      const points = new Set<number>();
      for (let c = 0; c < mesh.cornerCount; c++) {
        const p = mesh.cornerPoints[c]!;
        if (partName(puppet, mesh.cornerFaces[c]!) === name && Math.sign(restPoints[3 * p]!) === side)
          points.add(p);
      }
      // At rest arms hang 45 degrees below the horizontal and legs stand upright.
      const axis = normalize(name === 'arm' ? [side, -1, 0] : [0, -1, 0]);
      const inner = normalize(name === 'arm' ? [-side, -1, 0] : [-side, 0, 0]);
      const places = [...points].map((p) => vec3At(restPoints, p));
      return { name, side, inner, centreNear: (p) => centreNear(places, axis, p) };
    }),
  );
}

/** Middle of the box round the points of a limb that lie within a ring's distance along it, on both sides of a place. */
function centreNear(places: readonly Vec3[], axis: Vec3, p: Vec3): Vec3 {
  const t = dot(p, axis);
  const sides = [-1, 1].map((sign) => {
    const beyond = places.filter((q) => sign * (dot(q, axis) - t) >= 0);
    const nearest = Math.min(...beyond.map((q) => Math.abs(dot(q, axis) - t)));
    return beyond.filter((q) => Math.abs(dot(q, axis) - t) <= nearest + RING_THICKNESS);
  });
  const centres = sides
    .filter((ring) => ring.length > 0)
    .map((ring) =>
      [0, 1, 2].map((k) => {
        const values = ring.map((q) => q[k]!);
        return (Math.min(...values) + Math.max(...values)) / 2;
      }),
    );
  const at = centres.map((centre) => dot(centre as unknown as Vec3, axis));
  const share =
    centres.length < 2 || at[0] === at[1] ? 0 : Math.max(0, Math.min(1, (t - at[0]!) / (at[1]! - at[0]!)));
  const last = centres.at(-1)!;
  return centres[0]!.map((x, k) => x + share * (last[k]! - x)) as unknown as Vec3;
}

/** How far the points of one ring lie apart along the limb, in metres. */
const RING_THICKNESS = 0.03;
