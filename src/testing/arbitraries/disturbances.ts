import { jitterMesh, listFaces, rotateMesh, scaleMesh, shuffleMesh, translateMesh } from '../deform/index.js';
import type { PlainMesh } from '../face-list.js';
import type { Arbitrary, FastCheck } from './fast-check.js';
import type { MeshCase } from './mesh-case.js';

/** What leaves topology alone: another order, another place, noise under a twentieth of the shortest edge. */
export function disturbances(fc: FastCheck): Arbitrary<(value: MeshCase) => MeshCase> {
  const seed = fc.integer({ min: 0, max: 0x7fffffff });
  return fc.oneof(
    fc.constant((value: MeshCase) => value),
    seed.map((s) => (value: MeshCase) => ({
      ...value,
      name: `${value.name}, shuffled ${s}`,
      mesh: shuffleMesh(value.mesh, s).mesh,
    })),
    fc.tuple(seed, fc.integer({ min: 1, max: 50 })).map(([s, thousandths]) => (value: MeshCase) => ({
      ...value,
      name: `${value.name}, noise ${thousandths}/1000 of the shortest edge, seed ${s}`,
      mesh: jitterMesh(value.mesh, (thousandths / 1000) * shortestEdge(value.mesh), s),
    })),
    fc
      .tuple(
        fc.integer({ min: 0, max: 359 }),
        fc.integer({ min: -3, max: 3 }),
        fc.integer({ min: -100, max: 100 }),
      )
      .map(([degrees, power, shift]) => (value: MeshCase) => ({
        ...value,
        name: `${value.name}, turned ${degrees}°, scaled 10^${power}, moved ${shift}`,
        mesh: translateMesh(scaleMesh(rotateMesh(value.mesh, [1, 2, 3], degrees), 10 ** power), [
          shift * 10 ** power,
          0,
          0,
        ]),
      })),
  );
}

function shortestEdge(mesh: PlainMesh): number {
  let shortest = Infinity;
  for (const face of listFaces(mesh))
    face.forEach((a, k) => {
      const b = face[(k + 1) % face.length]!;
      shortest = Math.min(
        shortest,
        Math.hypot(...[0, 1, 2].map((i) => mesh.points[3 * a + i]! - mesh.points[3 * b + i]!)),
      );
    });
  return shortest;
}
