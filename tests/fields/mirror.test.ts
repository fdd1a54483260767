import { existsSync, readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Mirror } from '../../src/fields/index.js';
import { findMirror } from '../../src/fields/index.js';
import type { Vec3 } from '../../src/math/index.js';
import { dot, scale, subtract } from '../../src/math/index.js';
import type { Mesh, MeshInput } from '../../src/mesh/index.js';
import { edgeVertices, vertexPosition } from '../../src/mesh/index.js';
import { makeMarionette, marionetteVariants, POSE_NAMES } from '../../src/testing/index.js';
import { DEEDS } from '../regions/people.js';
import {
  cells,
  creature,
  joined,
  meshOf,
  moved,
  patch,
  rotation,
  shuffle,
  sphere,
  torus,
  triangulated,
  tube,
} from './shapes.js';

/** Laws every mirror keeps; returns the greatest distance of a vertex from its partner's image over the diagonal. */
function checkMirror(mesh: Mesh, mirror: Mirror): number {
  const { vertexPartners, edgePartners, facePartners, halfEdgePartners, point, normal } = mirror;
  expect(Math.hypot(...normal)).toBeCloseTo(1, 12);
  for (const partners of [vertexPartners, edgePartners, facePartners, halfEdgePartners])
    partners.forEach((partner, i) => {
      if (partner >= 0 && partners[partner] !== i) throw new Error(`partner of ${i} has another partner`);
    });
  // Plain comparisons: an expectation per corner would take most of the time of these tests.
  const broken: string[] = [];
  for (let h = 0; h < mesh.cornerCount; h++) {
    const g = halfEdgePartners[h]!;
    if (g < 0) continue;
    const image = facePartners[mesh.cornerFaces[h]!]!;
    if (image >= 0 && halfEdgePartners[mesh.next[h]!] !== mesh.prev[g]) broken.push(`next of half-edge ${h}`);
    if (image >= 0 && image !== mesh.cornerFaces[g]) broken.push(`face of half-edge ${h}`);
    if (vertexPartners[mesh.cornerVertices[h]!] !== mesh.cornerVertices[mesh.next[g]!])
      broken.push(`tail of ${h}`);
    if (edgePartners[mesh.halfEdgeEdges[h]!] !== mesh.halfEdgeEdges[g]) broken.push(`edge of half-edge ${h}`);
  }
  for (let e = 0; e < mesh.edgeCount; e++) {
    if (edgePartners[e]! < 0) continue;
    const [a, b] = edgeVertices(mesh, e).map((v) => vertexPartners[v]!) as [number, number];
    const [c, d] = edgeVertices(mesh, edgePartners[e]!);
    if (!((a === c && b === d) || (a === d && b === c))) broken.push(`ends of edge ${e}`);
  }
  expect(broken).toEqual([]);
  let worst = 0;
  for (let v = 0; v < mesh.vertexCount; v++) {
    if (vertexPartners[v]! < 0) continue;
    const p = vertexPosition(mesh, v);
    const image = subtract(p, scale(normal, 2 * dot(subtract(p, point), normal)));
    worst = Math.max(worst, Math.hypot(...subtract(image, vertexPosition(mesh, vertexPartners[v]!))));
    if (Math.abs(dot(subtract(p, point), normal)) < 1e-9 * mesh.diagonal && vertexPartners[v] !== v)
      throw new Error(`vertex ${v} lies on the plane but is not its own partner`);
  }
  return worst / mesh.diagonal;
}

// As a share of the diagonal.
const PLANE_PRECISION = 1e-9;

const shareOf = (partners: Int32Array) => partners.filter((p) => p >= 0).length / partners.length;

describe('findMirror on mirrored shapes', () => {
  for (const [name, input, options] of [
    ['creature of quads', creature(), {}],
    ['creature of triangles', triangulated(creature(2)), {}],
    ['sphere', sphere(5), {}],
    ['open tube', tube(12, 5, 0.4, 3), {}],
    ['torus', torus(14, 9), {}],
    ['flat patch', patch(5, 3), {}],
    [
      'two balls that swap',
      joined(
        moved(sphere(4), ([x, y, z]) => [x + 2, y, z]),
        moved(sphere(4), ([x, y, z]) => [-x - 2, y, -z]),
      ),
      {},
    ],
    [
      'one triangle',
      { points: [0, 0, 0, 2, 0, 0, 1, 1, 0], faceVertexCounts: [3], faceVertexIndices: [0, 1, 2] },
      {},
    ],
  ] as const)
    test(name, () => {
      const mesh = meshOf(input);
      const mirror = findMirror(mesh, options)!;
      expect(mirror.matchedShare).toBe(1);
      expect(checkMirror(mesh, mirror)).toBeLessThan(PLANE_PRECISION);
      expect(Math.abs(mirror.normal[0])).toBeCloseTo(1, 6);
    });

  test('a cube of cells has partners for every face in any orientation', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (u, v) => {
          const mesh = meshOf(moved(cells([[0, 0, 0]], 0, 3), rotation(u, v, 0.37)));
          const mirror = findMirror(mesh)!;
          expect(mirror.matchedShare).toBe(1);
          expect(checkMirror(mesh, mirror)).toBeLessThan(PLANE_PRECISION);
        },
      ),
      { numRuns: 20 },
    );
  });

  test('a tilted, moved and scaled creature has the same partners, whatever its order', () => {
    const input = creature(2);
    const mesh = meshOf(input);
    const straight = findMirror(mesh)!;
    fc.assert(
      fc.property(
        fc.tuple(...[0, 1, 2].map(() => fc.double({ min: 0, max: 1, noNaN: true }))),
        fc.constantFrom(0.001, 1, 1000),
        fc.integer({ min: 1, max: 1000 }),
        ([u, v, w], size, seed) => {
          const turn = rotation(u!, v!, w!);
          const shuffled = shuffle(
            moved(input, (p) => {
              const [x, y, z] = turn(p);
              return [size * (x + 3), size * (y - 8), size * (z + 1)];
            }),
            seed,
          );
          const other = meshOf(shuffled.input);
          // The axes given are those of the world, not of the creature.
          const mirror = findMirror(other)!;
          expect(mirror.matchedShare).toBe(1);
          expect(checkMirror(other, mirror)).toBeLessThan(PLANE_PRECISION);
          expect(Math.abs(dot(mirror.normal, turn([1, 0, 0])))).toBeCloseTo(1, 6);
          const partners = Array.from(shuffled.faces, (_, f) => shuffled.faces[mirror.facePartners[f]!]);
          expect(partners).toEqual(Array.from(shuffled.faces, (old) => straight.facePartners[old]));
        },
      ),
      { numRuns: 15 },
    );
  });
});

describe('findMirror on shapes that are nearly mirrored', () => {
  const input = creature(3);

  test('small noise within the tolerance keeps every partner', () => {
    const noisy = moved(input, ([x, y, z]) => [
      x + 2e-3 * Math.sin(37 * x + 11 * y),
      y + 2e-3 * Math.sin(23 * y + 5 * z + 1),
      z + 2e-3 * Math.sin(41 * z + 3 * x + 2),
    ]);
    const mesh = meshOf(noisy);
    const mirror = findMirror(mesh)!;
    expect(mirror.matchedShare).toBe(1);
    expect(mirror.facePartners).toEqual(findMirror(meshOf(input))!.facePartners);
    expect(checkMirror(mesh, mirror)).toBeLessThan(2e-3);
  });

  test('an arm bent on one side keeps its partners through the topology', () => {
    const bent = moved(input, ([x, y, z]) => (x > 3 ? [x, y + 0.6 * (x - 3), z + 0.4 * (x - 3)] : [x, y, z]));
    const mirror = findMirror(meshOf(bent))!;
    expect(mirror.matchedShare).toBe(1);
    expect(mirror.facePartners).toEqual(findMirror(meshOf(input))!.facePartners);
    expect(mirror.normal[0]).toBeGreaterThan(0.9);
  });

  test('diagonals that all run one way leave vertex partners by place', () => {
    const mesh = meshOf(triangulated(patch(6, 4)));
    const mirror = findMirror(mesh, { axis: [1, 0, 0] })!;
    expect(mirror.matchedShare).toBe(1);
    checkMirror(mesh, mirror);
    // The sides of the quads have partners, their diagonals have none.
    expect(shareOf(mirror.edgePartners)).toBeCloseTo((7 * 4 + 6 * 5) / mesh.edgeCount, 12);
  });

  test('a shell that one side alone has is left out, the others keep partners', () => {
    const mesh = meshOf(
      joined(
        creature(2),
        moved(cells([[0, 0, 0]], 0, 2), ([x, y, z]) => [x + 3, y + 5, z]),
      ),
    );
    const mirror = findMirror(mesh)!;
    checkMirror(mesh, mirror);
    expect(mirror.basis).toBe('position');
    const lone = mesh.faceShells[mesh.faceCount - 1];
    mirror.facePartners.forEach((partner, f) => {
      expect(partner < 0).toBe(mesh.faceShells[f] === lone);
    });
  });
});

describe('findMirror on a character in an uneven pose', () => {
  for (const isTriangulated of [false, true])
    test(`finds the generator's own partners (${isTriangulated ? 'triangles' : 'quads'})`, () => {
      const made = makeMarionette({
        pose: 'asymmetric',
        faces: 2500,
        isTriangulated,
        hasEyes: true,
        buttons: 3,
      });
      const mesh = meshOf(made.mesh);
      const mirror = findMirror(mesh)!;
      expect(mirror.basis).toBe('topology');
      expect(mirror.matchedShare).toBe(1);
      expect(mirror.facePartners).toEqual(made.facePartners);
      expect(mirror.normal[0]).toBeGreaterThan(0.8);
      checkMirror(mesh, mirror);
    });

  test.each(['walking', 'running', 'kicking'])(
    'stands the plane upright in the trunk, however far the limbs stride: %s',
    (deed) => {
      const made = makeMarionette({ pose: DEEDS[deed]!, faces: 2500 });
      const mesh = meshOf(made.mesh);
      const { normal, vertexSides } = findMirror(mesh)!;
      // The pose itself twists the trunk by up to 8 degrees.
      expect(Math.abs(normal[0])).toBeGreaterThan(Math.cos((10 * Math.PI) / 180));
      for (let f = 0; f < mesh.faceCount; f++) {
        const { side } = made.parts[made.faceParts[f]!]!;
        const expected = Number(side === 'left') - Number(side === 'right');
        const corners = mesh.cornerVertices.subarray(mesh.faceOffsets[f]!, mesh.faceOffsets[f + 1]!);
        if (expected !== 0)
          for (const v of corners) expect(vertexSides[v]! * expected).toBeGreaterThanOrEqual(0);
      }
    },
  );

  for (const pose of POSE_NAMES.filter((name) => name !== 'asymmetric'))
    test(`pose ${pose}, with eyes, tunic and buttons: exact partners by place`, () => {
      const made = makeMarionette({ pose, faces: 1500, hasEyes: true, hasTunic: true, buttons: 3 });
      const mesh = meshOf(made.mesh);
      const mirror = findMirror(mesh)!;
      expect(mirror.basis).toBe('position');
      expect(mirror.matchedShare).toBe(1);
      expect(mirror.facePartners).toEqual(made.facePartners);
      expect(checkMirror(mesh, mirror)).toBeLessThan(PLANE_PRECISION);
    });
});

/** Cells of a path that turns in every direction. */
const CHAIN = [
  [0, 0, 0],
  [1, 0, 0],
  [2, 0, 0],
  [2, 1, 0],
  [2, 1, 1],
  [2, 1, 2],
  [3, 1, 2],
  [3, 1, 3],
  [3, 1, 4],
  [3, 2, 4],
] as const;

describe('findMirror where a pose has stretched some faces', () => {
  // Builds whose armpits the pose distorts so much that edges across are no longer of like length.
  test.each([1, 31, 45, 68])('closes the gaps between matched faces, build %i', (seed) => {
    const [, , , , , options] = marionetteVariants(12, { seed, least: 600, most: 900, hasCreatures: true });
    const { mesh, facePartners } = makeMarionette({ ...options, jitter: 0 });
    expect(findMirror(meshOf(mesh))!.facePartners).toEqual(facePartners);
  });
});

describe('findMirror finds none', () => {
  test('on a shape without symmetry', () => {
    const screw = moved(creature(2), ([x, y, z]) => [
      x + 0.15 * y * y + 0.3 * Math.max(0, x) ** 2,
      y + 0.4 * x * z,
      z + 0.2 * x * y,
    ]);
    const twisted = moved(cells([...CHAIN], 0, 2), ([x, y, z]) => [
      x + 0.2 * y * z,
      y + 0.1 * x * x,
      z + 0.3 * x,
    ]);
    expect(findMirror(meshOf(twisted))).toBeUndefined();
    // The topology of the screwed creature is still mirrored, so its partners are found; the plane is a fit.
    expect(findMirror(meshOf(screw))?.basis).toBe('topology');
  });

  test('across an axis the shape is not mirrored in', () => {
    expect(findMirror(meshOf(creature(2)), { axis: [0, 1, 0] })).toBeUndefined();
    expect(findMirror(meshOf(creature(2)), { axis: [2, 0, 0] })?.matchedShare).toBe(1);
  });

  test('a given plane is used as it is', () => {
    const mesh = meshOf(creature(2));
    const mirror = findMirror(mesh, { plane: { point: [0, 5, 0], normal: [3, 0, 0] } })!;
    expect(mirror.point).toEqual([0, 5, 0]);
    expect(mirror.normal).toEqual([1, 0, 0]);
    expect(mirror.matchedShare).toBe(1);
    expect(findMirror(mesh, { plane: { point: [0.5, 0, 0], normal: [1, 0, 0] } })).toBeUndefined();
  });

  for (const [name, options] of [
    ['a tolerance below 0', { tolerance: -1 }],
    ['a tolerance that is no number', { tolerance: NaN }],
    ['an axis without length', { axis: [0, 0, 0] }],
    ['a share above 1', { leastShare: 2 }],
  ] as const)
    test(`refuses ${name}`, () => {
      expect(() => findMirror(meshOf(sphere(2)), options as { axis: Vec3 })).toThrowError(
        expect.objectContaining({ code: 'OPTION_INVALID' }),
      );
    });
});

describe('findMirror on real characters', () => {
  const folder = new URL('../../../shared/meshes/', import.meta.url).pathname;
  const has = existsSync(folder);
  const names = has ? readdirSync(folder).filter((name) => existsSync(`${folder}${name}/mesh.obj`)) : [];
  test.skipIf(!has)('every one that is modelled symmetrically has a mirror', () => {
    const lines: string[] = [];
    for (const name of names) {
      const mesh = meshOf(readFaces(readFileSync(`${folder}${name}/mesh.obj`, 'utf8')));
      const mirror = findMirror(mesh);
      lines.push(
        mirror
          ? `${name}: ${mirror.matchedShare.toFixed(4)} of the surface, ${shareOf(mirror.facePartners).toFixed(4)} of the faces, by ${mirror.basis}`
          : `${name}: no mirror`,
      );
      if (!mirror) continue;
      checkMirror(mesh, mirror);
      if (/^(human|lowtri|blocky|cow)/.test(name)) expect(mirror.matchedShare).toBeGreaterThan(0.999);
    }
    console.log(lines.join('\n'));
  });
  if (!has) console.log('findMirror: the folder of real characters is not there; its sweep is skipped');
});

/** Points and faces of an OBJ text; all that this test needs of the format. */
function readFaces(text: string): MeshInput {
  const points: number[] = [];
  const faceVertexCounts: number[] = [];
  const faceVertexIndices: number[] = [];
  for (const line of text.split('\n')) {
    const [kind, ...values] = line.trim().split(/\s+/);
    if (kind === 'v') points.push(...values.slice(0, 3).map(Number));
    if (kind !== 'f') continue;
    faceVertexCounts.push(values.length);
    for (const value of values) {
      const index = Number.parseInt(value, 10);
      faceVertexIndices.push(index < 0 ? points.length / 3 + index : index - 1);
    }
  }
  return { points, faceVertexCounts, faceVertexIndices };
}
