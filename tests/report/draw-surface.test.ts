import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh } from '../../src/mesh/index.js';
import { drawSurface, standardViews } from '../../src/report/index.js';
import type { Picture } from './read-png.js';
import { readPng } from './read-png.js';

/** A cube of side 2 about the origin. */
function cube(): Mesh {
  const points: number[] = [];
  for (let i = 0; i < 8; i++) points.push(i & 1 ? 1 : -1, i & 2 ? 1 : -1, i & 4 ? 1 : -1);
  return buildMesh({
    points,
    faceVertexCounts: [4, 4, 4, 4, 4, 4],
    faceVertexIndices: [0, 2, 3, 1, 4, 5, 7, 6, 0, 1, 5, 4, 2, 6, 7, 3, 0, 4, 6, 2, 1, 3, 7, 5],
  });
}

const FRONT_EDGE: [number, number] = [6, 7];
const BACK_EDGE: [number, number] = [2, 3];

const isColour = ([r, g, b]: readonly [number, number, number]) => Math.max(r, g, b) - Math.min(r, g, b) > 60;

function countColoured(picture: Picture): number {
  let count = 0;
  for (let y = 0; y < picture.height; y++)
    for (let x = 0; x < picture.width; x++) if (isColour(picture.at(x, y)!)) count++;
  return count;
}

describe('drawSurface', () => {
  const [front, left, back, right] = standardViews();
  const size = { width: 120, height: 100 };

  it('writes a PNG of the asked size with the model in the middle', () => {
    const picture = readPng(drawSurface(cube(), { seams: [] }, front!, size));
    expect([picture.width, picture.height]).toEqual([120, 100]);
    expect(picture.at(60, 50)).not.toEqual(picture.at(2, 2));
    expect(countColoured(picture)).toBe(0);
  });

  it('shows a seam from its own side and hides it from the other', () => {
    const seam = (edge: [number, number]) => ({ seams: [{ edges: [edge] }] });
    // The upper edge of the front lies on the outline from everywhere; look from above and from below.
    const above = { name: 'above', eye: [0, 0.6, 1], up: [0, 1, 0] } as const;
    const below = { name: 'below', eye: [0, -0.6, 1], up: [0, 1, 0] } as const;
    expect(countColoured(readPng(drawSurface(cube(), seam(FRONT_EDGE), above, size)))).toBeGreaterThan(100);
    // Only the round ends, which lie on the outline, stick out by half a line's width.
    expect(countColoured(readPng(drawSurface(cube(), seam(BACK_EDGE), below, size)))).toBeLessThan(20);
  });

  it("looks at the character's own left from the left", () => {
    // A flag on the +x side: with the front at +z and up at +y that is the left side.
    expect(left!.eye).toEqual([1, 0, 0]);
    expect(right!.eye).toEqual([-1, -0, -0]);
    expect(back!.eye.map((value) => value + 0)).toEqual([0, 0, -1]);
  });

  it('turns with the axes given', () => {
    const [turned] = standardViews({ up: [0, 0, 1], front: [0, -1, 0] });
    expect(turned!.eye).toEqual([0, -1, 0]);
    expect(turned!.up).toEqual([0, 0, 1]);
  });

  it('gives the same bytes twice', () => {
    const draw = () => drawSurface(cube(), { seams: [{ edges: [FRONT_EDGE] }] }, front!, size);
    expect(draw()).toEqual(draw());
  });

  it('draws a model that is flat as seen', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 0, 1, 0],
      faceVertexCounts: [3],
      faceVertexIndices: [0, 1, 2],
    });
    expect(() => readPng(drawSurface(mesh, { seams: [] }, left!, size))).not.toThrow();
  });
});
