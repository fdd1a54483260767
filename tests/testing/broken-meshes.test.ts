import { describe, expect, it } from 'vitest';
import { buildMesh, cutMesh, measureChartTopology } from '../../src/mesh/index.js';
import { BROKEN_MESHES } from '../../src/testing/index.js';

describe('broken meshes', () => {
  it('are many, each with a name of its own', () => {
    expect(BROKEN_MESHES.length).toBeGreaterThanOrEqual(50);
    expect(new Set(BROKEN_MESHES.map(({ name }) => name)).size).toBe(BROKEN_MESHES.length);
  });

  it.each(BROKEN_MESHES.filter(({ error }) => error).map((broken) => [broken.name, broken] as const))(
    '%s is rejected with its code and leaves its arrays alone',
    (_, { make, error }) => {
      expect(() => buildMesh(make())).toThrowError(expect.objectContaining({ code: error }));
      expect(() => buildMesh(make())).toThrowError(/^buildMesh: .+/);
    },
  );

  it.each(BROKEN_MESHES.filter(({ repairs }) => repairs).map((broken) => [broken.name, broken] as const))(
    '%s is built, with exactly the repairs it needs',
    (_, { make, repairs }) => {
      const input = make();
      const mesh = buildMesh(input);
      expect(mesh.repairs.map(({ kind }) => kind).sort()).toEqual([...repairs!].sort());
      for (const { element, elements } of mesh.repairs) {
        const limit = element === 'face' ? mesh.faceCount : mesh.pointCount;
        expect(elements.every((i) => Number.isInteger(i) && i >= 0 && i < limit)).toBe(true);
        if (element === 'edge') expect(elements.length % 2).toBe(0);
      }
      expect(Array.from(mesh.cornerPoints)).toEqual(Array.from(input.faceVertexIndices));
      // What was built is a manifold: every chart of the uncut mesh has a border that closes.
      const topology = measureChartTopology(cutMesh(mesh, new Uint8Array(mesh.edgeCount)));
      expect(topology.length).toBe(mesh.shellCount);
      expect(
        topology.every(({ eulerCharacteristic, borderLoops }) => eulerCharacteristic + borderLoops <= 2),
      ).toBe(true);
      expect(
        topology.every(
          ({ eulerCharacteristic, borderLoops }) => (eulerCharacteristic + borderLoops) % 2 === 0,
        ),
      ).toBe(true);
    },
  );
});
