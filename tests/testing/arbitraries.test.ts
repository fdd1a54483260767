import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildMesh, cutMesh, measureChartTopology } from '../../src/mesh/index.js';
import {
  anySeamSets,
  diskSeamSets,
  expectCovering,
  expectDiskCharts,
  hintSets,
  type MeshArbitraries,
  type MeshCase,
  meshArbitraries,
  torus,
} from '../../src/testing/index.js';

const meshes = meshArbitraries(fc);
const NAMES = Object.keys(meshes) as (keyof MeshArbitraries)[];
const RUNS = process.env.SEAMWRIGHT_LONG ? 1000 : 60;

/** Throws unless the built topology is what the value says of itself. */
function checkCase(value: MeshCase): void {
  const mesh = buildMesh(value.mesh);
  if (!value.isManifold) {
    expect(
      mesh.repairs.some(({ kind }) =>
        ['non-manifold-edge', 'pinched-vertex', 'one-sided-loop'].includes(kind),
      ),
    ).toBe(true);
    return;
  }
  // A tube bent by half a turn in one stride lies inside out.
  expect(mesh.repairs.map(({ kind }) => kind).filter((kind) => kind !== 'inside-out')).toEqual([]);
  const charts = measureChartTopology(cutMesh(mesh, new Uint8Array(mesh.edgeCount)));
  const sum = (key: 'borderLoops' | 'eulerCharacteristic') =>
    charts.reduce((total, chart) => total + chart[key], 0);
  expect(mesh.shellCount).toBe(value.shells);
  expect(sum('borderLoops')).toBe(value.borderLoops);
  expect(sum('eulerCharacteristic')).toBe(value.eulerCharacteristic);
  expect(value.eulerCharacteristic).toBe(2 * value.shells - 2 * value.genus - value.borderLoops);
}

const PROPERTIES: Partial<Record<keyof MeshArbitraries, (value: MeshCase) => boolean>> = {
  closed: ({ borderLoops, shells }) => borderLoops === 0 && shells === 1,
  sphere: ({ eulerCharacteristic }) => eulerCharacteristic === 2,
  handled: ({ genus, borderLoops }) => genus > 0 && borderLoops === 0,
  disk: ({ eulerCharacteristic, borderLoops }) => eulerCharacteristic === 1 && borderLoops === 1,
  bordered: ({ borderLoops }) => borderLoops > 0,
  shells: ({ shells }) => shells > 1,
  quads: ({ mesh }) => mesh.faceVertexCounts.every((n) => n === 4),
  triangles: ({ mesh }) => mesh.faceVertexCounts.every((n) => n === 3),
  nGons: ({ mesh }) => mesh.faceVertexCounts.some((n) => n > 4),
  manifold: ({ isManifold }) => isManifold,
  nonManifold: ({ isManifold }) => !isManifold,
};

describe('mesh arbitraries', () => {
  it.each(NAMES)('%s keeps its word', (name) => {
    fc.assert(
      fc.property(meshes[name], (value) => {
        checkCase(value);
        expect(PROPERTIES[name]?.(value) ?? true).toBe(true);
      }),
      { numRuns: RUNS },
    );
  });

  it.each(NAMES)('%s gives the same values for the same seed', (name) => {
    const sample = () => fc.sample(meshes[name], { seed: 42, numRuns: 10 });
    expect(sample()).toEqual(sample());
  });

  it.each(NAMES)('%s shrinks to valid values only', (name) => {
    const arbitrary = meshes[name];
    const random = new fc.Random(prandLike(7));
    let visited = 0;
    for (let i = 0; i < 4; i++) {
      let value = arbitrary.generate(random, undefined);
      // Down one branch, looking at a few siblings on each level.
      for (let depth = 0; depth < 6; depth++) {
        const shrunk = [...arbitrary.shrink(value.value, value.context).take(4)];
        for (const sibling of shrunk) {
          checkCase(sibling.value);
          expect(PROPERTIES[name]?.(sibling.value) ?? true).toBe(true);
          visited++;
        }
        if (shrunk.length === 0) break;
        value = shrunk[shrunk.length - 1]!;
      }
    }
    expect(visited).toBeGreaterThan(0);
  });

  it('shrinks a failing property to a small mesh', () => {
    const result = fc.check(
      fc.property(meshes.handled, ({ mesh }) => mesh.faceVertexCounts.length < 20),
      { seed: 5, numRuns: 200 },
    );
    expect(result.failed).toBe(true);
    const [smallest] = result.counterexample!;
    expect(smallest.mesh.faceVertexCounts.length).toBeLessThan(60);
  });
});

/** A plain linear congruential generator in the form that fast-check's Random wants. */
function prandLike(seed: number): ConstructorParameters<typeof fc.Random>[0] {
  let state = seed;
  const generator = {
    clone: () => prandLike(state),
    next: () => {
      state = (Math.imul(state, 1664525) + 1013904223) | 0;
      return state;
    },
    getState: () => [state],
  };
  return generator as unknown as ConstructorParameters<typeof fc.Random>[0];
}

describe('seam set arbitraries', () => {
  const withSeams = <T>(arbitrary: (value: MeshCase) => fc.Arbitrary<T>) =>
    meshes.manifold.chain((value) => arbitrary(value).map((set) => ({ value, set })));

  it('gives disks only, each face in one chart', () => {
    fc.assert(
      fc.property(
        withSeams(({ mesh }) => diskSeamSets(fc, mesh)),
        ({ value, set }) => {
          expectDiskCharts(value.mesh, set);
          expectCovering(value.mesh, set);
        },
      ),
      { numRuns: RUNS },
    );
  });

  it('gives charts that agree with the seams, whatever the seams', () => {
    fc.assert(
      fc.property(
        withSeams(({ mesh }) => anySeamSets(fc, mesh)),
        ({ value, set }) => expectCovering(value.mesh, set),
      ),
      { numRuns: RUNS },
    );
  });

  it('gives hints within the mesh that do not contradict one another', () => {
    fc.assert(
      fc.property(
        withSeams(({ mesh }) => hintSets(fc, mesh)),
        ({ value: { mesh }, set }) => {
          const faceCount = mesh.faceVertexCounts.length;
          const key = ([a, b]: readonly [number, number]) => `${a} ${b}`;
          const kept = new Set(set.keep.map(key));
          expect(set.avoid.some((edge) => kept.has(key(edge)))).toBe(false);
          expect(
            [...set.avoidFaces, ...set.coveredFaces, ...set.faceGroups.flat()].every(
              (f) => f >= 0 && f < faceCount,
            ),
          ).toBe(true);
          const built = buildMesh(mesh);
          const shells = new Map<number, Set<number>>();
          for (let c = 0; c < built.cornerCount; c++) {
            const point = built.cornerPoints[c]!;
            const shell = built.faceShells[built.cornerFaces[c]!]!;
            shells.set(point, (shells.get(point) ?? new Set()).add(shell));
          }
          for (const chain of [...set.waypoints, ...set.pins]) {
            expect(chain.length).toBeGreaterThanOrEqual(2);
            const own = chain.map((point) => shells.get(point)!);
            expect([...own[0]!].some((shell) => own.every((other) => other.has(shell)))).toBe(true);
            expect(chain.every((point, k) => point !== chain[k + 1])).toBe(true);
          }
          expect(set.hardEdgeAngle >= 0 && set.hardEdgeAngle <= 180).toBe(true);
          expect(new Set(set.settled.faces).size).toBe(set.settled.faces.length);
          expect(set.paint.length).toBe(faceCount);
          expect(set.paint.every((x) => x >= 0 && x <= 1)).toBe(true);
        },
      ),
      { numRuns: RUNS },
    );
  });

  it('repeats itself by the seed', () => {
    const sample = () => fc.sample(diskSeamSets(fc, torus()), { seed: 3, numRuns: 5 });
    expect(sample()).toEqual(sample());
  });
});
