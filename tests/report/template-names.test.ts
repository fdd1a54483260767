import { describe, expect, it } from 'vitest';
import { drawLayout, drawTemplate } from '../../src/report/index.js';
import { INK, parseColour } from '../../src/report/palette.js';
import { findGlyph } from '../../src/report/stroke-font.js';
import { readPng } from './read-png.js';
import { gridSheet } from './shapes.js';

// Charts at u 0..0.4 and 0.6..1, v 0..0.8; the first has a name.
const { mesh, uvs, seam } = gridSheet(4, 4, 2);
const seams = [{ edges: seam, role: 'opening' }];
const faces = Array.from({ length: 16 }, (_, f) => f).filter((f) => f % 4 < 2);

/** The pixels that a name adds to the template, from the upper left of the box round them. */
function drawName(part: string, resolution: number) {
  const bare = readPng(drawTemplate(mesh, { uvs }, { seams }, { resolution }));
  const named = readPng(drawTemplate(mesh, { uvs }, { seams, charts: [{ faces, part }] }, { resolution }));
  const pixels: [number, number][] = [];
  for (let y = 0; y < resolution; y++)
    for (let x = 0; x < resolution; x++)
      if (String(named.at(x, y)) !== String(bare.at(x, y))) {
        expect(named.at(x, y)).toEqual(parseColour(INK));
        pixels.push([x, y]);
      }
  const [left, right] = [Math.min(...pixels.map(([x]) => x)), Math.max(...pixels.map(([x]) => x))];
  const [top, bottom] = [Math.min(...pixels.map(([, y]) => y)), Math.max(...pixels.map(([, y]) => y))];
  return { pixels, left, right, top, bottom };
}

/** The same as text, a # for each pixel. */
function spell(part: string, resolution: number): string[] {
  const { pixels, left, right, top, bottom } = drawName(part, resolution);
  const rows = Array.from({ length: bottom - top + 1 }, () => new Array<string>(right - left + 1).fill(' '));
  for (const [x, y] of pixels) rows[y - top]![x - left] = '#';
  return rows.map((row) => row.join('').trimEnd());
}

/** A resolution at which a unit of the font is one pixel: capitals are six of them, 0.72 of 1/45 of the sheet. */
const RESOLUTION = 375;

describe('names on the template', () => {
  it('are spelt by the strokes of their letters, a box for those that there are none of', () => {
    expect(spell('Leg 1漢', RESOLUTION)).toMatchInlineSnapshot(`
      [
        "#                   #  ####",
        "#                  ##  #  #",
        "#      ##   ###     #  #  #",
        "#     ## # ## #     #  #  #",
        "#     #### #  #     #  #  #",
        "#     #  # #  #     #  #  #",
        "#####  ###  ###    ### ####",
        "           #  #",
        "            ###",
      ]
    `);
  });

  it('lie within their chart and are alike at another resolution', () => {
    const small = drawName('left Hip_4', 2 * RESOLUTION);
    const large = drawName('left Hip_4', 4 * RESOLUTION);
    for (const [picture, scale] of [
      [small, 2],
      [large, 4],
    ] as const) {
      expect(picture.left).toBeGreaterThan(1);
      expect(picture.right).toBeLessThan(0.4 * RESOLUTION * scale - 2);
      expect(picture.top).toBeGreaterThan(0.2 * RESOLUTION * scale + 1);
      expect(picture.bottom).toBeLessThan(RESOLUTION * scale - 2);
    }
    // Every pixel of either picture is near one of the other; in the large one lines are three pixels wide.
    const near = (a: typeof small, ratio: number, b: typeof small, limit: number) =>
      a.pixels.every(([x, y]) =>
        b.pixels.some(
          ([p, q]) =>
            Math.max(
              Math.abs((x - a.left) * ratio - (p - b.left)),
              Math.abs((y - a.top) * ratio - (q - b.top)),
            ) <= limit,
        ),
      );
    expect(near(small, 2, large, 3)).toBe(true);
    expect(near(large, 0.5, small, 1.5)).toBe(true);
  });

  it('stand where the drawn layout has them, in its size', () => {
    const svg = drawLayout(
      mesh,
      { uvs },
      { seams, charts: [{ faces, part: 'HELM' }] },
      { size: 1500, ground: 'clear' },
    );
    const [, x, y, size] = /<text x="([\d.]+)" y="([\d.]+)" font-size="([\d.]+)"/.exec(svg)!.map(Number);
    const { left, right, top, bottom } = drawName('HELM', 1500);
    expect(Math.abs((left + right) / 2 - x!)).toBeLessThan(3);
    expect(Math.abs((top + bottom) / 2 - y!)).toBeLessThan(3);
    // Capitals are 0.72 of the font's size high in common fonts; wide ones are drawn smaller, to keep the width.
    expect(bottom - top).toBeGreaterThan(0.6 * size!);
    expect(bottom - top).toBeLessThan(0.72 * size! + 4);
    expect(right - left).toBeLessThan(0.55 * 4 * size! + 4);
  });

  it('are drawn smaller in a narrow chart, and left out of one too narrow for them', () => {
    const draw = (share: number) => {
      const narrow = uvs.map((value, k) => (k % 2 === 0 ? share * value : value));
      const set = { seams, charts: [{ faces, part: 'forearm' }] };
      const bare = readPng(drawTemplate(mesh, { uvs: narrow }, { seams }, { resolution: 1500 }));
      const named = readPng(drawTemplate(mesh, { uvs: narrow }, set, { resolution: 1500 }));
      const columns = new Set<number>();
      for (let y = 0; y < 1500; y++)
        for (let x = 0; x < 1500; x++) if (String(named.at(x, y)) !== String(bare.at(x, y))) columns.add(x);
      return [...columns].sort((a, b) => a - b);
    };
    // The chart is 120 pixels wide, where the name in its full size would take 128.
    const columns = draw(0.2);
    expect(columns.length).toBeGreaterThan(60);
    expect(columns[0]!).toBeGreaterThan(2);
    expect(columns.at(-1)!).toBeLessThan(117);
    expect(draw(0.05)).toEqual([]);
  });

  it('are left out where their letters would be blots', () => {
    expect(drawName('leg', 300).pixels).toEqual([]);
  });

  it('have a sign of its own for every letter and digit', () => {
    const signs = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.,:/+=()#'!? ";
    const shapes = new Set(Array.from(signs, (sign) => JSON.stringify(findGlyph(sign))));
    shapes.add(JSON.stringify(findGlyph('漢')));
    expect(shapes.size).toBe(signs.length + 1);
  });
});
