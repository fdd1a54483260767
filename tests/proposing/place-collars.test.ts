import { expect, it } from 'vitest';
import { buildMesh } from '../../src/mesh/index.js';
import { placeCollars } from '../../src/proposing/place-collars.js';
import { studyMesh } from '../../src/proposing/study-mesh.js';
import { makeMarionette } from '../../src/testing/index.js';

it('gives both of two limbs a collar where the pose makes one of them too small or too doubtful', () => {
  // Found by the law of the mirror: one foot lay just below the least area, the other above it.
  const { mesh } = makeMarionette({
    faces: 695,
    pose: 'sitting',
    proportions: {
      headSize: 1.454829790594522,
      neckSize: 1.055445446819067,
      legLength: 0.8047960633412004,
      armLength: 0.8971430362202227,
      shoulderWidth: 1.0748262576758862,
      hipWidth: 1.0969474396156147,
      girth: 1.2129175642039627,
      handSize: 1.3536997741553933,
      footSize: 0.9237756933784113,
    },
    hasTunic: true,
    hasEyes: true,
    hasTail: true,
    buttons: 4,
  });
  const study = studyMesh(buildMesh(mesh), {});
  const collars = placeCollars(study);
  const { edgePartners } = study.mirror!;
  study.parts.parts.forEach(({ name, side, partner }, i) => {
    if (partner < 0) return;
    const image = (collars.get(i) ?? []).map((e) => edgePartners[e]!).sort((a, b) => a - b);
    const opposite = [...(collars.get(partner) ?? [])].sort((a, b) => a - b);
    expect([name, side, image]).toEqual([name, side, opposite]);
  });
  const feet = study.parts.parts.flatMap(({ name }, i) => (name === 'foot' ? [collars.get(i)?.length] : []));
  expect(feet).toEqual([12, 12]);
});
