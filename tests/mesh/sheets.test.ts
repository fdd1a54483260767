import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { MeshInput } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import {
  cylinder,
  flipFaces,
  gridPatch,
  icoSphere,
  joinMeshes,
  listFaces,
  makeMarionette,
  scaleMesh,
  shuffleMesh,
  translateMesh,
  withFaces,
} from '../../src/testing/index.js';

const turnOver = (mesh: MeshInput) => flipFaces(mesh, () => true);
const kinds = (mesh: MeshInput) => buildMesh(mesh).repairs.map(({ kind }) => kind);

describe('a cloth with a front and a back', () => {
  const cloth = gridPatch(4, 6, (x, y) => 0.3 * x * y);

  it.each([
    ['on points of its own', joinMeshes([cloth, turnOver(cloth)])],
    ['on the same points', withFaces(cloth, [...listFaces(cloth), ...listFaces(turnOver(cloth))])],
    [
      'face by face in turn',
      withFaces(
        cloth,
        listFaces(cloth).flatMap((face, f) =>
          f % 3 === 0 ? [[...face].reverse(), face] : [face, [...face].reverse()],
        ),
      ),
    ],
  ])('is two sheets, each facing one way: %s', (_, mesh) => {
    const built = buildMesh(mesh);
    expect(built.shellCount).toBe(2);
    expect(built.repairs.map(({ kind }) => kind).filter((kind) => kind !== 'welded-points')).toEqual([
      'duplicate-face',
    ]);
    expect([...built.faceFlipped]).toEqual(Array(48).fill(0));
    expect(built.edgeCount).toBe(2 * buildMesh(cloth).edgeCount);
  });

  it('hangs from a body by the side that runs on', () => {
    // A skirt of two sides below a bodice of one: three faces on the edge where they meet.
    const tube = cylinder({ segments: 8, rows: 4, ends: 'open' });
    const height = (face: readonly number[]) =>
      face.reduce((sum, p) => sum + tube.points[3 * p + 2]!, 0) / face.length;
    const middle = listFaces(tube).reduce((sum, face) => sum + height(face), 0) / 32;
    const skirt = listFaces(tube).filter((face) => height(face) < middle);
    const backs = skirt.map((face) => [...face].reverse());
    const built = buildMesh(withFaces(tube, [...backs, ...listFaces(tube)]));
    expect(built.shellCount).toBe(2);
    expect(built.faceFlipped.every((flipped) => flipped === 0)).toBe(true);
    // The bodice and the outer skirt are one tube.
    const sizes = [0, 1].map((shell) => built.faceShells.filter((s) => s === shell).length);
    expect(sizes.sort((a, b) => a - b)).toEqual([16, 32]);
  });

  it('is two sheets in whatever order the faces come', () => {
    fc.assert(
      fc.property(fc.nat(), (seed) => {
        const { mesh } = shuffleMesh(joinMeshes([cloth, turnOver(cloth)]), seed);
        const built = buildMesh(mesh);
        expect(built.shellCount).toBe(2);
        expect(built.faceFlipped.every((flipped) => flipped === 0)).toBe(true);
      }),
      { numRuns: 20 },
    );
  });
});

describe('a face of two sides between two others', () => {
  const row = gridPatch(3, 1);
  const [left, middle, right] = listFaces(row) as [number[], number[], number[]];
  const turned = (face: readonly number[]) => [...face].reverse();

  it('goes on in both where they run alike', () => {
    const built = buildMesh(withFaces(row, [left, turned(middle), right, middle]));
    expect([...built.faceShells]).toEqual([0, 1, 0, 0]);
    expect([...built.faceFlipped]).toEqual([0, 0, 0, 0]);
  });

  it('is joined to the one that runs with it, and no face is turned for the other', () => {
    const built = buildMesh(withFaces(row, [left, middle, turned(right), turned(middle)]));
    expect([...built.faceShells]).toEqual([0, 0, 1, 2]);
    expect([...built.faceFlipped]).toEqual([0, 0, 0, 0]);
  });
});

describe('a model that is inside out', () => {
  const body = makeMarionette({ faces: 800 }).mesh;

  it('is turned in the topology, and said', () => {
    const built = buildMesh(turnOver(body));
    expect(built.repairs.map(({ kind }) => kind)).toEqual(['inside-out']);
    expect(built.repairs[0]!.elements.length).toBe(built.faceCount);
    expect(built.faceFlipped.every((flipped) => flipped === 1)).toBe(true);
    expect(kinds(body)).toEqual([]);
  });

  it('is also what mirrored points make', () => {
    expect(kinds(scaleMesh(body, [-1, 1, 1]))).toEqual(['inside-out']);
  });

  it('is judged by its outside: a hollow may look inwards, and turns with what is round it', () => {
    const hollow = joinMeshes([turnOver(scaleMesh(icoSphere({ level: 1 }), 0.5)), icoSphere({ level: 2 })]);
    expect(kinds(hollow)).toEqual([]);
    const built = buildMesh(turnOver(hollow));
    expect(built.repairs.map(({ kind }) => kind)).toEqual(['inside-out']);
    expect(built.repairs[0]!.elements.length).toBe(built.faceCount);
  });

  it('may be one boot of two', () => {
    const boot = cylinder({ height: 6, segments: 8, rows: 6, ends: 'open' });
    const pair = joinMeshes([boot, translateMesh(turnOver(boot), [5, 0, 0])]);
    const { repairs, faceCount } = buildMesh(pair);
    expect(repairs.map(({ kind }) => kind)).toEqual(['inside-out']);
    expect(repairs[0]!.elements.length).toBe(faceCount / 2);
    expect(repairs[0]!.elements[0]).toBe(faceCount / 2);
  });

  it('has but the faces listed that look inwards', () => {
    const { repairs, faceFlipped } = buildMesh(flipFaces(body, (f) => f !== 7));
    expect(repairs.map(({ kind, elements }) => [kind, elements.length])).toEqual([
      ['inside-out', faceFlipped.length - 1],
    ]);
    expect(faceFlipped[7]).toBe(0);
  });

  it('is no lining, whichever comes first', () => {
    const tube = cylinder({ height: 6, segments: 8, rows: 6, ends: 'open' });
    const lined = joinMeshes([turnOver(tube), tube]);
    expect(kinds(lined)).toEqual(['welded-points', 'duplicate-face']);
  });

  it('is no sheet, which has neither an inside nor an outside', () => {
    expect(kinds(turnOver(gridPatch(5, 5, (x, y) => 0.1 * (x - 2.5) ** 2 + 0.1 * (y - 2.5) ** 2)))).toEqual(
      [],
    );
  });
});
