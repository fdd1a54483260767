import type { PlainMesh } from '../face-list.js';
import { limitChannels, quadSurface, subdivide } from '../marionette/subdivide-cage.js';
import { holedBlock } from './cell-shapes.js';

/** Subdivides a mesh of quads `levels` times by Catmull–Clark and moves its points to the smooth surface. */
export function smoothQuads(mesh: PlainMesh, levels: number): PlainMesh {
  let surface = quadSurface(mesh.faceVertexIndices, mesh.points, 3);
  for (let level = 0; level < levels; level++) surface = subdivide(surface, 3);
  return {
    points: limitChannels(surface, 3),
    faceVertexCounts: new Int32Array(surface.quads.length / 4).fill(4),
    faceVertexIndices: surface.quads,
  };
}

/** A smooth closed surface of genus 2 in quads. */
export const doubleTorus = ({ levels = 2 } = {}): PlainMesh => smoothQuads(holedBlock(2), levels);
