import { joinMeshes, mapPoints, translateMesh, triangulateMesh, withFaces } from '../deform/index.js';
import type { PlainMesh } from '../face-list.js';
import * as shapes from '../shapes/index.js';
import { disturbances } from './disturbances.js';
import type { Arbitrary, FastCheck } from './fast-check.js';
import type { MeshCase } from './mesh-case.js';
import { nonManifoldMeshes } from './non-manifold.js';

/** Arbitraries of meshes by property. Every value, shrunk or not, is a valid mesh of that property. */
export interface MeshArbitraries {
  /** One closed manifold shell of genus 0 to 3. */
  readonly closed: Arbitrary<MeshCase>;
  /** One closed shell of genus 0. */
  readonly sphere: Arbitrary<MeshCase>;
  /** One closed shell with 1 to 3 handles. */
  readonly handled: Arbitrary<MeshCase>;
  /** One shell with one border loop and no handle. */
  readonly disk: Arbitrary<MeshCase>;
  /** One shell with one or more border loops. */
  readonly bordered: Arbitrary<MeshCase>;
  /** Two to four shells of any kind, side by side. */
  readonly shells: Arbitrary<MeshCase>;
  /** Quads only. */
  readonly quads: Arbitrary<MeshCase>;
  /** Triangles only. */
  readonly triangles: Arbitrary<MeshCase>;
  /** Some faces of five corners or more. */
  readonly nGons: Arbitrary<MeshCase>;
  /** Long thin faces, up to 1 : 1000. */
  readonly needles: Arbitrary<MeshCase>;
  /** Edges of three faces, pinched vertices, one-sided surfaces: the counts are those of the repaired topology's input. */
  readonly nonManifold: Arbitrary<MeshCase>;
  /** Any manifold mesh of the above. */
  readonly manifold: Arbitrary<MeshCase>;
  /** Anything of the above. */
  readonly any: Arbitrary<MeshCase>;
}

/**
 * Makes the arbitraries with the caller's own fast-check, so that the peer stays optional and its instance
 * the caller's.
 *
 * @example
 * import fc from 'fast-check';
 * const meshes = meshArbitraries(fc);
 * fc.assert(fc.property(meshes.closed, ({ mesh }) => myPipeline(mesh).isGood));
 */
export function meshArbitraries(fc: FastCheck): MeshArbitraries {
  const whole = (min: number, max: number) => fc.integer({ min, max });
  const one = (genus: number, borderLoops: number, [name, mesh]: readonly [string, PlainMesh]): MeshCase => ({
    name,
    mesh,
    shells: 1,
    borderLoops,
    genus,
    eulerCharacteristic: 2 - 2 * genus - borderLoops,
    isManifold: true,
  });
  const disturb = (arbitrary: Arbitrary<MeshCase>) =>
    fc.tuple(arbitrary, disturbances(fc)).map(([value, act]) => act(value));

  const spheres = fc.oneof(
    whole(1, 4).map((n) => one(0, 0, [`cube ${n}`, shapes.cube({ n })])),
    fc
      .tuple(whole(3, 16), whole(2, 8))
      .map(([segments, rows]) =>
        one(0, 0, [`sphere ${segments} x ${rows}`, shapes.uvSphere({ segments, rows })]),
      ),
    whole(0, 2).map((level) => one(0, 0, [`ico sphere ${level}`, shapes.icoSphere({ level })])),
    whole(1, 5).map((n) => one(0, 0, [`cube sphere ${n}`, shapes.cubeSphere({ n })])),
    fc
      .tuple(whole(3, 12), whole(1, 4))
      .map(([segments, rows]) =>
        one(0, 0, [`cylinder ${segments} x ${rows}`, shapes.cylinder({ segments, rows, ends: 'fan' })]),
      ),
    fc
      .tuple(whole(4, 12), whole(1, 4))
      .map(([segments, rows]) =>
        one(0, 0, [`capsule ${segments} x ${rows}`, shapes.capsule({ segments, rows, capRows: 2 })]),
      ),
  );
  const handles = fc.oneof(
    fc
      .tuple(whole(3, 14), whole(3, 10))
      .map(([p, q]) => one(1, 0, [`torus ${p} x ${q}`, shapes.torus({ p, q })])),
    fc
      .tuple(whole(1, 3), whole(1, 2))
      .map(([genus, n]) => one(genus, 0, [`block of genus ${genus}, ${n}`, shapes.holedBlock(genus, { n })])),
    whole(0, 1).map((levels) => one(2, 0, [`double torus ${levels}`, shapes.doubleTorus({ levels })])),
  );
  const disks = fc.oneof(
    fc
      .tuple(whole(1, 8), whole(1, 8))
      .map(([m, n]) => one(0, 1, [`grid ${m} x ${n}`, shapes.gridPatch(m, n)])),
    fc
      .tuple(whole(3, 14), whole(1, 5), whole(10, 170))
      .map(([segments, rows, halfAngle]) =>
        one(0, 1, [
          `cap ${segments} x ${rows}, ${halfAngle}°`,
          shapes.sphericalCap({ segments, rows, halfAngle }),
        ]),
      ),
    fc
      .tuple(whole(3, 14), whole(1, 4))
      .map(([segments, rows]) => one(0, 1, [`cone ${segments} x ${rows}`, shapes.cone({ segments, rows })])),
    fc
      .tuple(whole(1, 5), whole(1, 5))
      .map(([teeth, length]) => one(0, 1, [`comb ${teeth} x ${length}`, shapes.comb(teeth, length)])),
    fc
      .tuple(whole(1, 3), whole(8, 48))
      .map(([turns, segments]) =>
        one(0, 1, [`spiral ${turns}, ${segments}`, shapes.spiralStrip({ turns, segments, rows: 1 })]),
      ),
  );
  const tubes = fc.oneof(
    fc
      .tuple(whole(3, 14), whole(1, 5))
      .map(([segments, rows]) =>
        one(0, 2, [`open cylinder ${segments} x ${rows}`, shapes.cylinder({ segments, rows, ends: 'open' })]),
      ),
    fc
      .tuple(whole(3, 14), whole(1, 4))
      .map(([segments, rows]) =>
        one(0, 2, [`annulus ${segments} x ${rows}`, shapes.annulus({ segments, rows })]),
      ),
    fc
      .tuple(whole(1, 8), whole(3, 10), whole(10, 300))
      .map(([p, q, degrees]) =>
        one(0, 2, [`bend ${p} x ${q}, ${degrees}°`, shapes.tubeBend({ p, q, degrees })]),
      ),
    fc
      .tuple(whole(1, 3), whole(1, 3))
      .map(([a, b]) => one(0, 1 + a * b, [`sheet with ${a} x ${b} holes`, holedSheet(a, b)])),
  );
  const sphere = disturb(spheres);
  const handled = disturb(handles);
  const disk = disturb(disks);
  const bordered = disturb(fc.oneof(disks, tubes));
  const quads = disturb(
    fc.oneof(
      whole(1, 4).map((n) => one(0, 0, [`cube ${n}`, shapes.cube({ n })])),
      fc
        .tuple(whole(3, 14), whole(3, 10))
        .map(([p, q]) => one(1, 0, [`torus ${p} x ${q}`, shapes.torus({ p, q })])),
      fc
        .tuple(whole(1, 8), whole(1, 8))
        .map(([m, n]) => one(0, 1, [`grid ${m} x ${n}`, shapes.gridPatch(m, n)])),
      whole(1, 3).map((genus) => one(genus, 0, [`block of genus ${genus}`, shapes.holedBlock(genus)])),
    ),
  );
  const all = fc.oneof(spheres, handles, disks, tubes);
  const triangles = disturb(
    all.map((value) => ({
      ...value,
      name: `triangulated ${value.name}`,
      mesh: triangulateMesh(value.mesh).mesh,
    })),
  );
  const nGons = disturb(
    fc.oneof(
      whole(5, 16).map((n) => one(0, 0, [`prism ${n}`, shapes.prism(n)])),
      fc
        .tuple(whole(5, 16), whole(1, 4))
        .map(([segments, rows]) =>
          one(0, 0, [`cylinder ${segments} x ${rows}`, shapes.cylinder({ segments, rows })]),
        ),
      fc.tuple(whole(2, 7), whole(2, 7)).map(([m, n]) => one(0, 1, [`bricks ${m} x ${n}`, bricks(m, n)])),
      fc
        .tuple(whole(5, 16), whole(1, 4))
        .map(([segments, rows]) =>
          one(0, 0, [`cone ${segments} x ${rows}`, shapes.cone({ segments, rows, base: 'polygon' })]),
        ),
    ),
  );
  const needles = fc.tuple(all, whole(10, 1000), whole(0, 2)).map(([value, ratio, axis]) => ({
    ...value,
    name: `${value.name}, stretched ${ratio} times`,
    mesh: mapPoints(
      value.mesh,
      (p) => [0, 1, 2].map((k) => (k === axis ? ratio : 1) * p[k]!) as [number, number, number],
    ),
  }));
  const closed = fc.oneof(sphere, handled);
  const shells = fc.array(all, { minLength: 2, maxLength: 4 }).map(placeSideBySide);
  const manifold = fc.oneof(closed, bordered, shells, quads, triangles, nGons, needles);
  const nonManifold = nonManifoldMeshes(fc);
  return {
    closed,
    sphere,
    handled,
    disk,
    bordered,
    shells,
    quads,
    triangles,
    nGons,
    needles,
    nonManifold,
    manifold,
    any: fc.oneof(manifold, nonManifold),
  };
}

/** A sheet of a × b square holes. */
const holedSheet = (a: number, b: number): PlainMesh =>
  shapes.cellPatch(2 * a + 1, 2 * b + 1, (i, j) => !(i % 2 === 1 && j % 2 === 1));

/** A wall of bricks: each row is shifted by half a brick, so the bricks within are hexagons. */
function bricks(m: number, n: number): PlainMesh {
  const grid = shapes.gridPatch(2 * m + 1, n);
  const at = (i: number, j: number) => {
    for (let p = 0; p < grid.points.length; p += 3)
      if (grid.points[p] === i && grid.points[p + 1] === j) return p / 3;
    return -1;
  };
  const faces: number[][] = [];
  for (let j = 0; j < n; j++) {
    const cuts = [0];
    for (let i = j % 2 === 0 ? 2 : 1; i < 2 * m + 1; i += 2) cuts.push(i);
    if (cuts[cuts.length - 1] !== 2 * m + 1) cuts.push(2 * m + 1);
    for (let k = 0; k + 1 < cuts.length; k++) {
      const below: number[] = [];
      const above: number[] = [];
      for (let i = cuts[k]!; i <= cuts[k + 1]!; i++) {
        below.push(at(i, j));
        above.push(at(i, j + 1));
      }
      faces.push([...below, ...above.reverse()]);
    }
  }
  return withFaces(grid, faces);
}

function placeSideBySide(values: readonly MeshCase[]): MeshCase {
  const sum = (count: (value: MeshCase) => number) =>
    values.reduce((total, value) => total + count(value), 0);
  return {
    name: values.map(({ name }) => name).join(' + '),
    mesh: joinMeshes(values.map(({ mesh }, i) => translateMesh(mesh, [40 * i, 0, 0]))),
    shells: values.length,
    borderLoops: sum(({ borderLoops }) => borderLoops),
    genus: sum(({ genus }) => genus),
    eulerCharacteristic: sum(({ eulerCharacteristic }) => eulerCharacteristic),
    isManifold: true,
  };
}
