import { describe, expect, it } from 'vitest';
import { drawTemplate, styleSeams } from '../../src/report/index.js';
import { parseColour } from '../../src/report/palette.js';
import { readPng } from './read-png.js';
import { gridSheet } from './shapes.js';

describe('drawTemplate', () => {
  // Two columns, the gap of one column, two columns: charts at u 0..0.4 and 0.6..1, v 0..0.8.
  const { mesh, uvs, seam } = gridSheet(4, 4, 2);
  const set = { seams: [{ edges: seam, role: 'opening' }] };

  it('draws each line where the sheet has it, in the colour of its seam, and is clear elsewhere', () => {
    const picture = readPng(drawTemplate(mesh, { uvs }, set, { resolution: 100 }));
    expect([picture.width, picture.height]).toEqual([100, 100]);
    const colour = parseColour(styleSeams(set.seams)[0]!.colour);
    // v points up: v = 0.4 is row 60. The seam lies on both of its sides, at u = 0.4 and u = 0.6.
    expect(picture.at(40, 60)).toEqual(colour);
    expect(picture.at(60, 60)).toEqual(colour);
    expect(picture.at(0, 60)).toBeDefined();
    expect(picture.at(0, 60)).not.toEqual(colour);
    for (const [x, y] of [
      [20, 60],
      [50, 60],
      [80, 60],
      [50, 10],
    ] as const)
      expect(picture.at(x, y)).toBeUndefined();
  });

  it('draws one tile, and leaves out corners without UVs', () => {
    const moved = uvs.map((value, k) => (k % 2 === 0 ? value + 2 : value + 1));
    const colours = (tile: number) => {
      const { at } = readPng(drawTemplate(mesh, { uvs: moved }, set, { resolution: 64, tile }));
      let count = 0;
      for (let y = 0; y < 64; y++) for (let x = 0; x < 64; x++) if (at(x, y)) count++;
      return count;
    };
    // UDIM: 1001 + u + 10 v.
    expect(colours(1013)).toBeGreaterThan(100);
    expect(colours(1001)).toBe(0);
    const partial = uvs.slice().fill(Number.NaN, 0, 8);
    expect(() => drawTemplate(mesh, { uvs: partial }, set, { resolution: 64 })).not.toThrow();
  });

  it('gives the same bytes twice, and refuses silly sizes', () => {
    const draw = (resolution: number) => drawTemplate(mesh, { uvs }, set, { resolution });
    expect(draw(128)).toEqual(draw(128));
    expect(() => draw(8)).toThrow(/bad resolution/);
    expect(() => drawTemplate(mesh, { uvs }, set, { tile: 12 })).toThrow(/bad tile/);
  });
});
