import fc from 'fast-check';
import { SaxesParser } from 'saxes';
import { describe, expect, it } from 'vitest';
import { buildMesh, headVertex, isBorderEdge, tailVertex } from '../../src/mesh/index.js';
import { drawLayout } from '../../src/report/index.js';
import { INK } from '../../src/report/palette.js';
import { gridSheet } from './shapes.js';

interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly text: string;
}

/** Reads a document with a strict XML parser; throws where it is not well formed. */
function parseXml(text: string): Element[] {
  const elements: { name: string; attributes: Record<string, string>; text: string }[] = [];
  const open: typeof elements = [];
  const parser = new SaxesParser({ xmlns: false });
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', (tag) => {
    const element = { name: tag.name, attributes: { ...tag.attributes } as Record<string, string>, text: '' };
    elements.push(element);
    open.push(element);
  });
  parser.on('text', (part) => {
    if (open.length > 0) open[open.length - 1]!.text += part;
  });
  parser.on('closetag', () => void open.pop());
  parser.write(text).close();
  return elements;
}

const strokes = (elements: readonly Element[]) =>
  elements.filter((each) => each.name === 'path' && each.attributes.stroke?.startsWith('#'));

const HOSTILE = [
  '</title></text><script>alert(1)</script>',
  '"><img src=x onerror=alert(1)>',
  "' onload='alert(1)",
  ']]><svg/onload=alert(1)>',
  '&lt;b&gt; &amp; &#60;',
  '<!-- -->',
  '𝔘𝔫𝔦 ✂ 左手',
];

const chart = (faceCount: number, part: string) => ({
  faces: Int32Array.from({ length: faceCount }, (_, f) => f),
  part,
  side: 'left',
});

describe('drawLayout', () => {
  it('draws a chart outline once round, with v pointing up', () => {
    const { mesh, uvs } = gridSheet(2, 1);
    const elements = parseXml(drawLayout(mesh, { uvs }, { seams: [] }, { size: 100 }));
    expect(elements[0]!.attributes.viewBox).toBe('0 0 104 104');
    const [line] = strokes(elements);
    // The grid fills u 0..1 and v 0..0.5: the lower half of the picture.
    expect(new Set(line!.attributes.d!.match(/[\d.]+ [\d.]+/g))).toEqual(
      new Set(['2 102', '52 102', '102 102', '102 52', '52 52', '2 52']),
    );
  });

  it('draws a seam in one style on both of its sides', () => {
    const { mesh, uvs, seam } = gridSheet(4, 4, 2);
    const set = { seams: [{ edges: seam, role: 'opening', part: 'torso' }] };
    const drawn = strokes(parseXml(drawLayout(mesh, { uvs }, set, { size: 400 })));
    const colours = new Map<string, number>();
    for (const { attributes } of drawn) {
      const points = attributes.d!.match(/[\d.]+ [\d.]+/g)!.length;
      const pieces = attributes.d!.endsWith('Z') ? points : points - 1;
      colours.set(attributes.stroke!, (colours.get(attributes.stroke!) ?? 0) + pieces);
    }
    let borders = 0;
    for (let e = 0; e < mesh.edgeCount; e++) if (isBorderEdge(mesh, e)) borders++;
    expect([...colours.values()].sort((a, b) => a - b)).toEqual(
      [2 * seam.length, borders].sort((a, b) => a - b),
    );
  });

  it('gives left and right of a pair one colour, and other seams another', () => {
    const { mesh, uvs, seam } = gridSheet(4, 4, 2);
    const [first, second, third, fourth] = seam;
    const set = {
      seams: [
        { edges: [first!], role: 'opening', part: 'arm', side: 'left' },
        { edges: [second!], role: 'opening', part: 'arm', side: 'right' },
        { edges: [third!, fourth!], role: 'collar', part: 'neck', side: 'centre' },
      ],
    };
    const colours = new Set(
      strokes(parseXml(drawLayout(mesh, { uvs }, set))).map((each) => each.attributes.stroke),
    );
    expect(colours.size).toBe(3);
  });

  it('writes part names, whatever they hold, as text and nothing else', () => {
    const { mesh, uvs } = gridSheet(3, 3);
    const plain = parseXml(drawLayout(mesh, { uvs }, { seams: [], charts: [chart(mesh.faceCount, 'x')] }));
    fc.assert(
      fc.property(
        fc.oneof(fc.string({ unit: 'binary', maxLength: 12 }), fc.constantFrom(...HOSTILE)),
        (name) => {
          const set = { seams: [], charts: [chart(mesh.faceCount, name)] };
          const elements = parseXml(drawLayout(mesh, { uvs }, set, { title: name }));
          const shape = (list: readonly Element[]) =>
            list.map((each) => each.name).filter((each) => each !== 'text');
          expect(shape(elements)).toEqual(shape(plain));
          for (const element of elements)
            expect(
              Object.keys(element.attributes).filter((key) => key.startsWith('on') || key === 'href'),
            ).toEqual([]);
        },
      ),
      { numRuns: 300 },
    );
  });

  it.each(HOSTILE)('shows %j as it is', (name) => {
    const { mesh, uvs } = gridSheet(3, 3);
    const elements = parseXml(drawLayout(mesh, { uvs }, { seams: [] }, { title: name }));
    expect(elements.find((each) => each.name === 'title')!.text).toBe(name);
  });

  it('draws tiles side by side', () => {
    const { mesh, uvs } = gridSheet(2, 2);
    const moved = uvs.map((value, i) => (i % 2 === 0 ? value + 1 : value));
    const elements = parseXml(drawLayout(mesh, { uvs: moved }, { seams: [] }, { size: 100 }));
    expect(elements[0]!.attributes.viewBox).toBe('0 0 204 104');
  });

  it('is nothing but lines and names on clear ground, its edges those of the sheet', () => {
    const { mesh, uvs, seam } = gridSheet(4, 4, 2);
    const set = { seams: [{ edges: seam }], charts: [chart(mesh.faceCount, 'glove')] };
    const elements = parseXml(drawLayout(mesh, { uvs }, set, { size: 2048, ground: 'clear' }));
    expect(elements[0]!.attributes.viewBox).toBe('0 0 2048 2048');
    expect(elements.filter(({ name }) => name === 'rect')).toEqual([]);
    expect(elements.map(({ attributes }) => attributes.fill).filter((fill) => fill?.startsWith('#'))).toEqual(
      [INK],
    );
    expect(elements.some(({ text }) => text === 'left glove')).toBe(true);
  });

  it('leaves out corners without UVs', () => {
    const { mesh, uvs } = gridSheet(2, 1);
    const partial = uvs.slice().fill(Number.NaN, 0, 8);
    expect(drawLayout(mesh, { uvs: partial })).not.toContain('NaN');
    expect(strokes(parseXml(drawLayout(mesh, { uvs: partial })))).toHaveLength(1);
  });

  it('cuts where the UVs part even when no seam says so', () => {
    const { mesh, uvs } = gridSheet(4, 4, 2);
    expect(strokes(parseXml(drawLayout(mesh, { uvs })))).toHaveLength(2);
  });

  it('gives the same text twice', () => {
    const { mesh, uvs, seam } = gridSheet(5, 3, 2);
    const draw = () => drawLayout(mesh, { uvs }, { seams: [{ edges: seam }] }, { hasEdges: true });
    expect(draw()).toBe(draw());
  });

  it('takes a mesh whose faces run against one another', () => {
    const mesh = buildMesh({
      points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0, 2, 0, 0, 2, 1, 0],
      faceVertexCounts: [4, 4],
      faceVertexIndices: [0, 1, 2, 3, 1, 2, 5, 4],
    });
    const uvs = Float64Array.from(
      [...mesh.cornerPoints].flatMap((p) => [mesh.points[3 * p]! / 2, mesh.points[3 * p + 1]! / 2]),
    );
    expect(strokes(parseXml(drawLayout(mesh, { uvs })))).toHaveLength(1);
    for (let h = 0; h < mesh.cornerCount; h++) expect(tailVertex(mesh, h)).not.toBe(headVertex(mesh, h));
  });
});
