import { joinMeshes, rotateMesh, translateMesh } from '../deform/index.js';
import type { PlainMesh } from '../face-list.js';
import * as shapes from '../shapes/index.js';
import type { Arbitrary, FastCheck } from './fast-check.js';
import type { MeshCase } from './mesh-case.js';

/** Edges of three faces and more, pinched vertices, one-sided surfaces. */
export function nonManifoldMeshes(fc: FastCheck): Arbitrary<MeshCase> {
  const odd = (name: string, mesh: PlainMesh): MeshCase => ({
    name,
    mesh,
    shells: 1,
    borderLoops: Number.NaN,
    genus: Number.NaN,
    eulerCharacteristic: Number.NaN,
    isManifold: false,
  });
  return fc.oneof(
    fc
      .tuple(fc.integer({ min: 3, max: 9 }), fc.integer({ min: 1, max: 4 }))
      .map(([pages, rows]) => odd(`book of ${pages} pages`, book(pages, rows))),
    fc
      .tuple(fc.integer({ min: 3, max: 20 }), fc.integer({ min: 1, max: 3 }))
      .map(([segments, rows]) =>
        odd(`Möbius strip ${segments} x ${rows}`, shapes.mobiusStrip({ segments, rows })),
      ),
    fc
      .integer({ min: 1, max: 3 })
      .map((n) =>
        odd(
          `boxes on an edge, ${n}`,
          joinMeshes([shapes.cube({ n }), translateMesh(shapes.cube({ n }), [1, 1, 0])]),
        ),
      ),
    fc
      .integer({ min: 1, max: 3 })
      .map((n) =>
        odd(
          `boxes on a corner, ${n}`,
          joinMeshes([shapes.cube({ n }), translateMesh(shapes.cube({ n }), [1, 1, 1])]),
        ),
      ),
    fc
      .tuple(fc.integer({ min: 3, max: 12 }), fc.integer({ min: 1, max: 4 }))
      .map(([segments, rows]) => odd(`hourglass ${segments} x ${rows}`, hourglass(segments, rows))),
  );
}

function book(pages: number, rows: number): PlainMesh {
  const page = shapes.gridPatch(1, rows);
  return joinMeshes(Array.from({ length: pages }, (_, i) => rotateMesh(page, [0, 1, 0], (360 * i) / pages)));
}

/** Two cones that meet at their tips. */
function hourglass(segments: number, rows: number): PlainMesh {
  const cone = shapes.cone({ segments, rows, height: 1 });
  return joinMeshes([
    translateMesh(cone, [0, -1, 0]),
    rotateMesh(translateMesh(cone, [0, -1, 0]), [0, 0, 1], 180),
  ]);
}
