import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh, computeFaceGeometry, cutMesh, measureChartTopology } from '../../src/mesh/index.js';
import * as shapes from '../../src/testing/index.js';

/** Six times the volume under the oriented faces, over six. */
function volumeOf(mesh: Mesh): number {
  const { faceNormals, faceAreas, faceCentroids } = computeFaceGeometry(mesh);
  let volume = 0;
  for (let i = 0; i < faceNormals.length; i++)
    volume += (faceNormals[i]! * faceAreas[Math.floor(i / 3)]! * faceCentroids[i]!) / 3;
  return volume;
}

const areaOf = (mesh: Mesh) => computeFaceGeometry(mesh).faceAreas.reduce((sum, area) => sum + area, 0);

// Euler characteristic and border loops of each named shape: standard mathematics.
const TABLE: readonly [string, shapes.PlainMesh, number, number][] = [
  ['cube', shapes.cube(), 2, 0],
  ['cube of 3 x 3', shapes.cube({ n: 3, size: 2 }), 2, 0],
  ['grid patch', shapes.gridPatch(4, 3), 1, 1],
  ['closed cylinder', shapes.cylinder(), 2, 0],
  ['closed cylinder with fans', shapes.cylinder({ ends: 'fan', rows: 3 }), 2, 0],
  ['open cylinder', shapes.cylinder({ ends: 'open' }), 0, 2],
  ['prism', shapes.prism(7), 2, 0],
  ['cone', shapes.cone(), 1, 1],
  ['closed cone', shapes.cone({ base: 'polygon', rows: 4 }), 2, 0],
  ['frustum', shapes.frustum(), 0, 2],
  ['sphere of meridians', shapes.uvSphere(), 2, 0],
  ['sphere of triangles', shapes.icoSphere(), 2, 0],
  ['sphere of a cube', shapes.cubeSphere(), 2, 0],
  ['cap', shapes.sphericalCap(), 1, 1],
  ['hemisphere', shapes.hemisphere(), 1, 1],
  ['capsule', shapes.capsule(), 2, 0],
  ['annulus', shapes.annulus(), 0, 2],
  ['torus', shapes.torus(), 0, 0],
  ['double torus', shapes.doubleTorus(), -2, 0],
  ['block of genus 3', shapes.holedBlock(3, { n: 2 }), -4, 0],
  ['pipe bend', shapes.tubeBend(), 0, 2],
  ['spiral', shapes.spiralStrip(), 1, 1],
  ['comb', shapes.comb(5, 6), 1, 1],
  ['bracket of 4 holes', shapes.bracket(), 2 - 2 * 4, 0],
  ['bracket of 6 holes', shapes.bracket({ holesPerPlate: 3 }), 2 - 2 * 6, 0],
];

describe('shapes by property', () => {
  it.each(TABLE)('%s has the right topology', (_, shape, characteristic, loops) => {
    const mesh = buildMesh(shape);
    expect(mesh.repairs).toEqual([]);
    const [topology] = measureChartTopology(cutMesh(mesh, new Uint8Array(mesh.edgeCount)));
    expect(mesh.shellCount).toBe(1);
    expect(topology!.eulerCharacteristic).toBe(characteristic);
    expect(topology!.borderLoops).toBe(loops);
    expect(topology!.isDisk).toBe(characteristic === 1);
    if (loops === 0) expect(volumeOf(mesh)).toBeGreaterThan(0);
  });

  it('opens the Möbius strip at one line and reports it', () => {
    const mesh = buildMesh(shapes.mobiusStrip({ segments: 12, rows: 2 }));
    expect(mesh.repairs.map(({ kind }) => kind)).toContain('one-sided-loop');
    const [topology] = measureChartTopology(cutMesh(mesh, new Uint8Array(mesh.edgeCount)));
    expect(topology!.eulerCharacteristic).toBe(1);
  });

  it('has exact sizes where they are exact on meshes', () => {
    expect(volumeOf(buildMesh(shapes.cube({ n: 4, size: 3 })))).toBeCloseTo(27, 12);
    expect(areaOf(buildMesh(shapes.cube()))).toBe(6);
    // N-sided forms of a unit cylinder, height 2: side 2Nr sin(π/N) · h, cap (N/2) r² sin(2π/N).
    const cylinder = buildMesh(shapes.cylinder({ segments: 32 }));
    expect(areaOf(cylinder)).toBeCloseTo(2 * 6.2731 + 2 * 3.12145, 4);
    // A cone (1, √3) has slant 2; its N-sided fan is N isosceles triangles of base 2 sin(π/N).
    const side = 2 * Math.sin(Math.PI / 32);
    expect(areaOf(buildMesh(shapes.cone()))).toBeCloseTo(
      (32 * side * Math.sqrt(4 - (side * side) / 4)) / 2,
      12,
    );
    expect(areaOf(buildMesh(shapes.comb(3, 4)))).toBe(5 + 3 * 4);
  });

  it('converges to smooth areas and volumes', () => {
    const sphere = buildMesh(shapes.icoSphere({ level: 4 }));
    expect(areaOf(sphere)).toBeCloseTo(4 * Math.PI, 1);
    expect(volumeOf(sphere)).toBeCloseTo((4 / 3) * Math.PI, 1);
    expect(areaOf(buildMesh(shapes.cubeSphere({ n: 32 })))).toBeCloseTo(4 * Math.PI, 1);
    // Cap area 2πr²(1 − cos α), torus area 4π²Rr.
    expect(areaOf(buildMesh(shapes.sphericalCap({ halfAngle: 60, segments: 128, rows: 64 })))).toBeCloseTo(
      Math.PI,
      2,
    );
    expect(areaOf(buildMesh(shapes.torus({ p: 256, q: 128 })))).toBeCloseTo(4 * Math.PI ** 2 * 0.4, 1);
  });

  it('makes the double torus smoother, not other', () => {
    const coarse = shapes.smoothQuads(shapes.holedBlock(2), 0);
    const fine = shapes.doubleTorus({ levels: 3 });
    expect(fine.faceVertexCounts.length).toBe(64 * coarse.faceVertexCounts.length);
    // Points of the coarse mesh are kept as the first points of the fine one, on the same limit surface.
    for (let i = 0; i < coarse.points.length; i++) expect(fine.points[i]).toBeCloseTo(coarse.points[i]!, 12);
  });
});
