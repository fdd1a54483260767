import { expect, it } from 'vitest';
import { buildMesh, edgeFaces, edgeVertices } from '../../src/mesh/index.js';
import { placeCollars } from '../../src/proposing/place-collars.js';
import { studyMesh } from '../../src/proposing/study-mesh.js';
import { DisjointSet } from '../../src/structures/index.js';
import { cellSkin, makeMarionette, smoothQuads } from '../../src/testing/index.js';
import { DEEDS } from '../regions/people.js';

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

it.each([0, 1])('gives each arm of a coarse body a collar on its own side: subdivided %i times', (levels) => {
  // Arms as thick as the chest is wide, whose cheapest loop went round both of them at once.
  const within = (x: number, low: number, high: number) => x >= low && x < high;
  const cells = cellSkin([14, 16, 3], (i, j) => {
    const isTrunk = within(i, 5, 9) && within(j, 5, 12);
    const isLeg = j < 5 && (i === 5 || i === 8);
    const isHead = j >= 12 && within(i, 6, 8);
    return isTrunk || isLeg || isHead || within(j, 8, 12);
  });
  const points = cells.points.map((x, i) => (i % 3 === 0 ? x - 7 : x));
  const study = studyMesh(buildMesh(smoothQuads({ ...cells, points }, levels)), {});
  const { mesh, parts, mirror } = study;
  const collars = placeCollars(study);
  const arms = parts.parts.flatMap(({ name }, i) => (name === 'arm' ? [i] : []));
  expect(arms.map((i) => collars.has(i))).toEqual([true, true]);
  for (const i of arms) {
    const side = mirror!.vertexSides[parts.parts[i]!.tip]!;
    const vertices = collars.get(i)!.flatMap((e) => edgeVertices(mesh, e));
    expect(vertices.every((v) => mirror!.vertexSides[v]! * side >= 0)).toBe(true);
  }
});

it('leaves no island in the band of a collar, round which a loop could close instead of round the limb', () => {
  for (const name of ['walking', 'running', 'hand on hip']) {
    const study = studyMesh(
      buildMesh(makeMarionette({ faces: 900, pose: DEEDS[name]!, isTriangulated: true }).mesh),
      {},
    );
    placeCollars(study);
    for (const [part, { faces }] of study.bands) {
      const isIn = new Set(faces);
      const pieces = new DisjointSet(study.mesh.faceCount);
      for (let e = 0; e < study.mesh.edgeCount; e++) {
        const [f, g] = edgeFaces(study.mesh, e);
        if (g >= 0 && isIn.has(f) === isIn.has(g)) pieces.union(f, g);
      }
      const sizes = new Map<number, number>();
      for (let f = 0; f < study.mesh.faceCount; f++) {
        const isBeside = !isIn.has(f) && study.mesh.faceShells[f] === study.parts.parts[part]!.shell;
        if (isBeside) sizes.set(pieces.find(f), (sizes.get(pieces.find(f)) ?? 0) + 1);
      }
      expect(Math.min(...sizes.values()), `${name}: ${study.parts.parts[part]!.name}`).toBeGreaterThan(2);
    }
  }
});
