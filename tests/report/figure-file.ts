import { writeFileSync } from 'node:fs';
import { makeMarionette } from '../../src/testing/index.js';

/** Writes a coarse marionette as an OBJ file and tells its size. */
export function writeFigure(path: string): { pointCount: number; faceCount: number } {
  const { points, faceVertexCounts, faceVertexIndices } = makeMarionette({ faces: 500, buttons: 0 }).mesh;
  const lines: string[] = [];
  for (let p = 0; p < points.length; p += 3) lines.push(`v ${points[p]} ${points[p + 1]} ${points[p + 2]}`);
  let c = 0;
  for (let f = 0; f < faceVertexCounts.length; f++) {
    const corners = Array.from({ length: faceVertexCounts[f]! }, () => faceVertexIndices[c++]! + 1);
    lines.push(`f ${corners.join(' ')}`);
  }
  writeFileSync(path, `${lines.join('\n')}\n`);
  return { pointCount: points.length / 3, faceCount: faceVertexCounts.length };
}
