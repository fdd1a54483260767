import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createObj, readObj, writeObj, writeObjBytes } from '../../src/io/index.js';
import type { MeshInput } from '../../src/mesh/index.js';
import { anyCutShape, CUBE, cutUvs, errorOf, largestDifference, sheet } from './shapes.js';

/** Everything but texture coordinates, found by a means of its own: regular expressions line by line. */
function withoutUvs(text: string): string {
  let folded = text;
  // A comment is not continued.
  while (/^[^#\n]*\\[ \t]*\r?\n/m.test(folded)) folded = folded.replace(/^([^#\n]*)\\[ \t]*\r?\n/gm, '$1⏎');
  return folded
    .split('\n')
    .filter((line) => !/^\s*vt(\s|⏎|$)/.test(line))
    .map((line) => {
      if (!/^\s*(f|l)[\s⏎]/.test(line)) return line;
      const [statement, ...comment] = line.split('#');
      return [statement!.replace(/(-?\d+)\/-?\d*/g, '$1/').replace(/\/(?=\s|⏎|$)/g, ''), ...comment].join(
        '#',
      );
    })
    .join('\n');
}

const FULL = `# made by hand é
mtllib wood.mtl

o marionette 1
g head upper
v 0 0 0 0.5 0.25 1
v 1 0 0 0.5 0.25 1
v 1.0e0 +1 0 0.5 0.25 1
v 0 1. -0 0.5 0.25 1
vt 0 0
vt 1 0 0
vt 1 1 \\
 0
vn 0 0 1
usemtl painted wood
s 1
f 1/1/1 2/2/1 \\
  3/3/1 # a corner
g head
s off
f -4//-1 -2//-1 -1//-1
l 1/1 2/2 3
usemtl
f\t1 3 4
vp 0.5
`;

describe('readObj', () => {
  test('reads polygons, negative indices, continued lines, groups, objects and materials', () => {
    const document = readObj(FULL);
    expect(Array.from(document.mesh.points)).toEqual([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, -0]);
    expect(Array.from(document.mesh.faceVertexCounts)).toEqual([3, 3, 3]);
    expect(Array.from(document.mesh.faceVertexIndices)).toEqual([0, 1, 2, 0, 2, 3, 0, 2, 3]);
    expect(document.faceGroups.map(({ kind, name, faces }) => [kind, name, ...faces])).toEqual([
      ['object', 'marionette 1', 0, 1, 2],
      ['group', 'head', 0, 1, 2],
      ['group', 'upper', 0],
      ['material', 'painted wood', 0, 1],
    ]);
    expect(Array.from(document.uvs!.cornerIndices)).toEqual([0, 1, 2, -1, -1, -1, -1, -1, -1]);
    expect(Array.from(document.cornerUvs!.subarray(0, 6))).toEqual([0, 0, 1, 0, 1, 1]);
    expect(document.cornerUvs!.subarray(6).every(Number.isNaN)).toBe(true);
    expect(document.warnings).toEqual([]);
  });

  test('takes CRLF, a lone CR and a byte order mark', () => {
    for (const lineBreak of ['\n', '\r\n', '\r']) {
      const text = `\ufeff${FULL.replaceAll('\n', lineBreak)}`;
      expect(Array.from(readObj(text).mesh.faceVertexIndices)).toEqual([0, 1, 2, 0, 2, 3, 0, 2, 3]);
    }
  });

  test('does not continue comments, which often end in a path', () => {
    expect(readObj('# C:\\models\\\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3').mesh.points.length).toBe(9);
  });

  test('rounds every decimal as the language does', () => {
    const decimal = fc.oneof(
      fc.double({ noNaN: true, noDefaultInfinity: true }).map(String),
      fc
        .tuple(fc.integer({ min: -99999999, max: 99999999 }), fc.integer({ min: -40, max: 40 }))
        .map(([m, e]) => `${m}e${e}`),
      fc
        .tuple(fc.bigInt({ min: -(10n ** 25n), max: 10n ** 25n }), fc.nat(999999999))
        .map(([i, f]) => `${i}.${f}`),
    );
    fc.assert(
      fc.property(fc.array(decimal, { minLength: 3, maxLength: 3 }), (numbers) => {
        const text = `v ${numbers.join(' ')}\nv 0 0 0\nv 1 1 1\nf 1 2 3\n`;
        expect(Array.from(readObj(text).mesh.points.slice(0, 3))).toEqual(numbers.map(Number));
      }),
      { numRuns: 300 },
    );
  });

  test('counts texture indices that lead nowhere as none', () => {
    const document = readObj('v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nf 1/1 2/0 3/9\n');
    expect(Array.from(document.uvs!.cornerIndices)).toEqual([0, -1, -1]);
    expect(document.warnings[0]).toMatch(/2 corners name a texture coordinate that does not exist/);
  });

  test('keeps and reports lines that are no OBJ statement', () => {
    const text = 'v 0 0 0\nv 1 0 0\nv 0 1 0\nwobble 3\nf 1 2 3\n';
    const document = readObj(text);
    expect(document.warnings).toEqual([
      'line 4: "wobble" is no OBJ statement; such lines are kept and ignored',
    ]);
    expect(writeObj(document, new Float64Array(6))).toContain('\nwobble 3\n');
  });

  test('names the line of an error', async () => {
    const error = await errorOf(() => readObj('v 0 0 0\nv 1 0 0\n\nv 1 nan 0\n'));
    expect(error).toMatchObject({ code: 'FORMAT_INVALID', details: { line: 4 } });
    expect(error.message).toBe('readObj: line 4: bad coordinate, got "nan", expected a finite number');
    const forward = await errorOf(() => readObj('v 0 0 0\nv 1 0 0\nf 1 2 4\nv 0 1 0\n'));
    expect(forward.message).toMatch(
      /line 3: a face names a point that does not exist, got 4, expected 1 to 3/,
    );
  });
});

describe('writeObj', () => {
  test('changes texture coordinates and texture indices, and no other byte', () => {
    const document = readObj(FULL);
    const uvs = Float64Array.from({ length: 18 }, (_, i) => i / 18);
    const text = writeObj(document, uvs);
    expect(withoutUvs(text)).toBe(withoutUvs(FULL));
    expect(text).toContain('f 1/1/1 2/2/1 \\\n  3/3/1 # a corner\n');
    expect(text).toContain('f -4/4/-1 -2/5/-1 -1/6/-1\n');
    expect(text).toContain('l 1 2 3\n');
    expect(largestDifference(readObj(text).cornerUvs!, uvs)).toBeLessThan(1e-9);
  });

  test('keeps bytes that are not UTF-8', () => {
    const latin = Uint8Array.from(`# ${'\xe9'}\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n`, (c) =>
      c.charCodeAt(0),
    );
    const bytes = writeObjBytes(readObj(latin), new Float64Array(6));
    expect(bytes.subarray(0, 4)).toEqual(latin.subarray(0, 4));
  });

  test('writes the same bytes again when given its own UVs', () => {
    const once = writeObj(createObj(CUBE), cutUvs(CUBE, () => true).cornerUvs);
    expect(writeObj(readObj(once), readObj(once).cornerUvs!)).toBe(once);
  });

  test('leaves a face without texture coordinates when one of its corners has none', () => {
    const uvs = new Float64Array(48).fill(0.5);
    uvs[10] = Number.NaN;
    const lines = writeObj(createObj(CUBE), uvs).split('\n');
    expect(lines.filter((line) => /^f \d+ \d+ \d+ \d+$/.test(line))).toHaveLength(1);
  });

  test('numbers have no exponent and at most the decimals asked for', () => {
    const uvs = new Float64Array(48).fill(1e-7);
    const text = writeObj(createObj(CUBE), uvs);
    expect(text).toContain('vt 0.0000001 0.0000001\n');
    expect(writeObj(createObj(CUBE), uvs, { decimals: 3 })).toContain('vt 0 0\n');
  });

  test('refuses UVs of another mesh, infinite UVs and silly decimals', async () => {
    const cube = createObj(CUBE);
    expect(await errorOf(() => writeObj(cube, new Float64Array(4)))).toMatchObject({ code: 'UV_INVALID' });
    expect(await errorOf(() => writeObj(cube, new Float64Array(48).fill(Infinity)))).toMatchObject({
      code: 'UV_INVALID',
    });
    expect(await errorOf(() => writeObj(cube, new Float64Array(48), { decimals: 0 }))).toMatchObject({
      code: 'OPTION_INVALID',
    });
  });

  // V' = Σ c(v): standard mathematics, as in the count of the vertices of a cut surface.
  test('a unit cube cut along all its edges has 24 texture coordinates', () => {
    const { cornerUvs } = cutUvs(CUBE, () => true);
    expect(readObj(writeObj(createObj(CUBE), cornerUvs)).uvs!.values.length / 2).toBe(24);
  });

  test('law: a torn surface has one texture coordinate for each vertex of the cut surface', () => {
    fc.assert(
      fc.property(anyCutShape(), ({ input, cornerUvs, cutVertexCount }) => {
        const back = readObj(writeObj(createObj(input), cornerUvs));
        expect(back.uvs!.values.length / 2).toBe(cutVertexCount);
        expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-9);
      }),
      { numRuns: 60 },
    );
  });

  test('law: whatever else a file holds comes back byte for byte', () => {
    fc.assert(
      fc.property(anyCutShape(), decorations(), ({ input, cornerUvs }, decoration) => {
        const text = decorate(input, decoration);
        const document = readObj(text);
        expect(Array.from(document.mesh.points)).toEqual(Array.from(input.points));
        expect(Array.from(document.mesh.faceVertexIndices)).toEqual(Array.from(input.faceVertexIndices));
        const written = writeObj(document, cornerUvs);
        expect(withoutUvs(written)).toBe(withoutUvs(text));
        const back = readObj(written);
        expect(Array.from(back.mesh.points)).toEqual(Array.from(input.points));
        expect(back.mesh.faceVertexIndices).toEqual(document.mesh.faceVertexIndices);
        expect(back.faceGroups).toEqual(document.faceGroups);
        expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-9);
      }),
      { numRuns: 100 },
    );
  });
});

test('createObj keeps groups, objects and materials', () => {
  const groups = [
    { name: 'lower arm', kind: 'object' as const, faces: Int32Array.of(0, 1, 2, 3) },
    { name: 'a', kind: 'group' as const, faces: Int32Array.of(0, 1, 4) },
    { name: 'b', kind: 'group' as const, faces: Int32Array.of(1, 2) },
    { name: 'paint', kind: 'material' as const, faces: Int32Array.of(2, 3) },
  ];
  const back = createObj(CUBE, groups).faceGroups;
  const named = (name: string) => Array.from(back.find((group) => group.name === name)!.faces);
  expect(named('lower_arm')).toEqual([0, 1, 2, 3]);
  expect(named('a')).toEqual([0, 1, 4]);
  expect(named('b')).toEqual([1, 2]);
  expect(named('paint')).toEqual([2, 3]);
  expect(Array.from(createObj(sheet(2, 1)).mesh.points)).toEqual(sheet(2, 1).points);
});

interface Decoration {
  readonly lineBreak: string;
  readonly extras: readonly string[];
  readonly hasNormals: boolean;
  readonly hasUvs: boolean;
  readonly isNegative: boolean;
  readonly isContinued: boolean;
  readonly everyNth: number;
}

const decorations = (): fc.Arbitrary<Decoration> =>
  fc.record({
    lineBreak: fc.constantFrom('\n', '\r\n'),
    extras: fc.array(
      fc.oneof(
        fc.string().map((text) => `# ${text.replace(/[\0\r\n]/g, '')}`),
        fc.constantFrom(
          'g left arm',
          'o puppet',
          's 1',
          's off',
          'usemtl oak',
          'l 1 2',
          'p 1',
          '',
          '  ',
          'mtllib a.mtl',
          'vp 0.1 0.2',
        ),
      ),
      { maxLength: 8 },
    ),
    hasNormals: fc.boolean(),
    hasUvs: fc.boolean(),
    isNegative: fc.boolean(),
    isContinued: fc.boolean(),
    everyNth: fc.integer({ min: 1, max: 5 }),
  });

/** OBJ text of a mesh with all that a file may hold besides. */
function decorate(input: MeshInput, decoration: Decoration): string {
  const { lineBreak, extras, hasNormals, hasUvs, isNegative, isContinued, everyNth } = decoration;
  const lines: string[] = [];
  let next = 0;
  const add = (line: string) => {
    if (extras.length > 0 && lines.length % everyNth === 0) lines.push(extras[next++ % extras.length]!);
    lines.push(line);
  };
  const pointCount = input.points.length / 3;
  for (let p = 0; p < pointCount; p++)
    add(`v ${input.points[3 * p]} ${input.points[3 * p + 1]}\t${input.points[3 * p + 2]}`);
  if (hasUvs)
    for (let p = 0; p < pointCount; p++)
      add(isContinued ? `vt 0.${p} \\${lineBreak} 0.5` : `vt 0.${p} 0.5 0`);
  if (hasNormals) add('vn 0 0 1');
  for (let f = 0, c = 0; f < input.faceVertexCounts.length; f++) {
    const tokens: string[] = [];
    for (const end = c + input.faceVertexCounts[f]!; c < end; c++) {
      const point = input.faceVertexIndices[c]!;
      const index = isNegative ? point - pointCount : point + 1;
      tokens.push(`${index}${hasUvs ? `/${index}` : hasNormals ? '/' : ''}${hasNormals ? '/1' : ''}`);
    }
    add(`f ${tokens.join(isContinued ? ` \\${lineBreak}\t` : ' ')}`);
  }
  return lines.join(lineBreak);
}
