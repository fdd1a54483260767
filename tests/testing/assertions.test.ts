import { describe, expect, it } from 'vitest';
import { buildMesh, edgeVertices } from '../../src/mesh/index.js';
import {
  applyMatrix,
  cube,
  cylinder,
  expectCovering,
  expectDiskCharts,
  expectInjective,
  expectMirrored,
  expectSameSeams,
  gridPatch,
  type MeshAssertionError,
  makeMarionette,
  rotateMesh,
  rotationMatrix,
  scaleMesh,
  shuffleMesh,
  translateMesh,
} from '../../src/testing/index.js';

type Edge = readonly [number, number];

/** All edges of a mesh that a test picks, by its points' positions. */
function pickEdges(
  mesh: Parameters<typeof buildMesh>[0],
  isPicked: (a: number[], b: number[]) => boolean,
): Edge[] {
  const built = buildMesh(mesh);
  const edges: Edge[] = [];
  for (let e = 0; e < built.edgeCount; e++) {
    const [p, q] = edgeVertices(built, e).map((v) => built.vertexPoints[v]!) as [number, number];
    const at = (point: number) => [0, 1, 2].map((k) => built.points[3 * point + k]!);
    if (isPicked(at(p), at(q))) edges.push([p, q]);
  }
  return edges;
}
const oneSeam = (edges: readonly Edge[]) => ({ seams: [{ edges }] });
const failure = (act: () => void): MeshAssertionError => {
  try {
    act();
  } catch (error) {
    return error as MeshAssertionError;
  }
  throw new Error('expected a failure');
};

describe('expectDiskCharts', () => {
  const tube = cylinder({ ends: 'open', segments: 8, rows: 2 });
  const line = pickEdges(tube, (a, b) => a[0] === 0 && b[0] === 0 && a[2]! > 0 && b[2]! > 0);

  it('passes on a tube slit lengthwise, fails on a whole one', () => {
    expect(line.length).toBe(2);
    expectDiskCharts(tube, oneSeam(line));
    expectDiskCharts(buildMesh(tube), oneSeam(line));
    const error = failure(() => expectDiskCharts(tube, oneSeam([])));
    expect(error.message).toMatch(
      /^expectDiskCharts: 1 of 1 charts are no disks; chart 0 \(16 faces, .*2 border loops and Euler characteristic 0/,
    );
  });

  it('throws what test runners know as an assertion error', () => {
    const error = failure(() => expectDiskCharts(tube, oneSeam(line.slice(1))));
    expect(error).toBeInstanceOf(Error);
    expect([error.name, error.code, error.operator]).toEqual([
      'AssertionError',
      'ERR_ASSERTION',
      'expectDiskCharts',
    ]);
    expect(error.expected).toEqual({ borderLoops: 1, eulerCharacteristic: 1 });
  });
});

describe('expectCovering', () => {
  const grid = gridPatch(2, 1);
  const middle = pickEdges(grid, (a, b) => a[0] === 1 && b[0] === 1);

  it('passes on a partition that the seams make', () => {
    expectCovering(grid, { charts: [{ faces: [0, 1] }] });
    expectCovering(grid, { charts: [{ faces: [1] }, { faces: [0] }], ...oneSeam(middle) });
  });

  it.each([
    [[{ faces: [0] }], undefined, /1 faces lie in no chart, the first is face 1/],
    [[{ faces: [0, 1] }, { faces: [1] }], undefined, /face 1 lies in charts 0 and 1/],
    [[{ faces: [0, 1, 2] }], undefined, /chart 0 names face 2, expected 0 to 1/],
    [[{ faces: [0] }, { faces: [1] }], [] as Edge[], /charts 0 and 1 are not parted by seams/],
    [[{ faces: [0, 1] }], middle, /chart 0 is parted by seams/],
  ])('fails on case %#', (charts, seams, message) => {
    expect(failure(() => expectCovering(grid, { charts, ...(seams ? oneSeam(seams) : {}) })).message).toMatch(
      message,
    );
  });
});

describe('expectMirrored', () => {
  const { mesh, pointPartners } = makeMarionette({ faces: 800 });
  const both = pickEdges(mesh, (a, b) => a[1]! < 0.5 && b[1]! < 0.5);
  const left = pickEdges(mesh, (a, b) => a[1]! < 0.5 && b[1]! < 0.5 && a[0]! > 0 && b[0]! > 0);

  it('passes on both legs, fails on one', () => {
    expectMirrored(mesh, oneSeam(both), { pointPartners });
    expectMirrored(mesh, oneSeam([]), { pointPartners });
    expect(failure(() => expectMirrored(mesh, oneSeam(left), { pointPartners })).actual).toBe(0);
  });

  it('allows a share', () => {
    const most = both.slice(1);
    expect(failure(() => expectMirrored(mesh, oneSeam(most), { pointPartners })).message).toMatch(
      /9\d\.\d\d % .* expected at least 100.00 %/,
    );
    expectMirrored(mesh, oneSeam(most), { pointPartners, least: 0.9 });
  });
});

describe('expectSameSeams', () => {
  const box = cube({ n: 3 });
  const seams = oneSeam(pickEdges(box, (a, b) => a[0] === 0 && b[0] === 0 && a[1]! < 0.5));

  it('knows seams again after shuffling, turning, scaling and moving', () => {
    const rows = rotationMatrix([1, 2, 3], 40);
    const moved = translateMesh(scaleMesh(rotateMesh(box, [1, 2, 3], 40), 1000), [5, 6, 7]);
    const { mesh, pointSources } = shuffleMesh(moved, 9);
    const places = new Int32Array(pointSources.length);
    pointSources.forEach((source, p) => {
      places[source] = p;
    });
    const shuffled = oneSeam(seams.seams[0]!.edges.map(([a, b]) => [places[a]!, places[b]!] as const));
    const map = (p: readonly [number, number, number]) => {
      const [x, y, z] = applyMatrix(rows, p);
      return [1000 * x + 5, 1000 * y + 6, 1000 * z + 7] as const;
    };
    expectSameSeams(box, seams, mesh, shuffled, { map });
    expect(failure(() => expectSameSeams(box, seams, mesh, shuffled)).actual).toBe(0);
  });

  it('fails when either side has more', () => {
    const fewer = oneSeam(seams.seams[0]!.edges.slice(1));
    expect(failure(() => expectSameSeams(box, seams, box, fewer)).message).toMatch(/seam edges against/);
    expect(failure(() => expectSameSeams(box, fewer, box, seams)).actual).toBeLessThan(1);
    expectSameSeams(box, fewer, box, seams, { least: 0.5 });
  });
});

describe('expectInjective', () => {
  const grid = gridPatch(4, 3);
  const flat = (move: (x: number, y: number, face: number) => readonly [number, number]) =>
    Float64Array.from(
      Array.from(grid.faceVertexIndices).flatMap((p, c) => [
        ...move(grid.points[3 * p]!, grid.points[3 * p + 1]!, Math.floor(c / 4)),
      ]),
    );

  it('passes on a flat grid, at any scale and place', () => {
    expectInjective(
      grid,
      flat((x, y) => [x, y]),
    );
    expectInjective(
      grid,
      flat((x, y) => [1e-6 * x + 3, 1e-6 * y]),
    );
    expectInjective(
      grid,
      flat((x, y) => [0.1 * x + 0.03 * y, 0.07 * y]),
    );
  });

  it('fails on faces that are squeezed to a line or a point, not on those that are so in space', () => {
    const covers = /has an area in space and none in the layout/;
    expect(
      failure(() =>
        expectInjective(
          grid,
          flat(() => [0, 0]),
        ),
      ).message,
    ).toMatch(covers);
    expect(
      failure(() =>
        expectInjective(
          grid,
          flat((x, y) => [x + y, 2 * (x + y)]),
        ),
      ).message,
    ).toMatch(covers);
    const last = flat((x, y, face) => (face === 11 ? [9, 9] : [x, y]));
    expect(failure(() => expectInjective(grid, last)).message).toMatch(/^expectInjective: face 11 /);
    expectInjective(grid, last, { faces: [0, 1, 2] });
    // Squeezed a million times, yet one to one.
    expectInjective(
      grid,
      flat((x, y) => [x, y / 1e6]),
    );
    const sliver = {
      points: [0, 0, 0, 1, 0, 0, 2, 0, 0],
      faceVertexCounts: [3],
      faceVertexIndices: [0, 1, 2],
    };
    expectInjective(sliver, [0, 0, 1, 0, 2, 0]);
  });

  it('finds faces turned over, overlaps and bad numbers', () => {
    expect(
      failure(() =>
        expectInjective(
          grid,
          flat((x, y) => [-x, y]),
        ),
      ).message,
    ).toMatch(/face 0 is turned over/);
    expect(
      failure(() =>
        expectInjective(
          grid,
          flat((x, y, f) => (f === 11 ? [x - 3.4, y - 2] : [x, y])),
        ),
      ).message,
    ).toMatch(/faces (0|11|1) and (0|11|1) overlap/);
    expect(
      failure(() =>
        expectInjective(
          grid,
          flat(() => [Number.NaN, 0]),
        ),
      ).message,
    ).toMatch(/no numbers/);
    expect(failure(() => expectInjective(grid, new Float64Array(2))).message).toMatch(
      /expected 2 for each of 48 corners/,
    );
  });

  it('finds a spiral that meets itself, and looks at chosen faces only', () => {
    const wound = flat((x, y) => [(2 + y) * Math.sin(2 * x), (2 + y) * Math.cos(2 * x)]);
    expect(failure(() => expectInjective(grid, wound)).message).toMatch(/overlap/);
    expectInjective(grid, wound, { faces: [0, 4] });
  });

  it('finds one face laid exactly on another', () => {
    expect(
      failure(() =>
        expectInjective(
          grid,
          flat((x, y, f) => (f === 5 ? [x - 1, y - 1] : [x, y])),
        ),
      ).message,
    ).toMatch(/overlap/);
  });
});
