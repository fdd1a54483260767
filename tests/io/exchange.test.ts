import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  addToExchange,
  checkSchema,
  createExchange,
  EXCHANGE_SCHEMA,
  readExchange,
  writeExchange,
} from '../../src/io/index.js';
import { anyCutShape, CUBE, cutUvs, errorOf, largestDifference } from './shapes.js';

const minimal = { points: [0, 0, 0, 1, 0, 0, 0, 1, 0], faceVertexCounts: [3], faceVertexIndices: [0, 1, 2] };

describe('readExchange', () => {
  test('takes the three arrays of a mesh and nothing more', () => {
    const document = readExchange(JSON.stringify(minimal));
    expect(Array.from(document.mesh.points)).toEqual(minimal.points);
    expect(document).toMatchObject({ format: 'json', faceGroups: [], seams: [], warnings: [] });
    expect(document.cornerUvs).toBeUndefined();
    expect(document.upAxis).toBeUndefined();
  });

  test('reads UVs of corners and of points, with and without indices', () => {
    const uvsOf = (st: object) => Array.from(readExchange({ ...minimal, primvars: { st } }).cornerUvs!);
    const values = [0, 0, 1, 0, 0, 1];
    expect(uvsOf({ values })).toEqual(values);
    expect(uvsOf({ values, interpolation: 'vertex', indices: [2, 1, 0] })).toEqual([0, 1, 1, 0, 0, 0]);
    expect(uvsOf({ values: [0.5, 0.5], indices: [0, -1, 0] })).toEqual([
      0.5,
      0.5,
      Number.NaN,
      Number.NaN,
      0.5,
      0.5,
    ]);
  });

  test('reads groups, seams, axis and unit', () => {
    const document = readExchange({
      ...createExchange(CUBE, [{ name: 'top', kind: 'material', faces: Int32Array.of(1) }], {
        upAxis: 'z',
        metersPerUnit: 0.01,
      }),
      subsets: [
        { name: 'top', familyName: 'materialBind', indices: [1] },
        {
          name: 'cut',
          elementType: 'edge',
          familyName: 'seams',
          indices: [0, 1, 1, 2],
          customData: { role: 'collar', length: 4, extra: true },
        },
      ],
    });
    expect(document).toMatchObject({ upAxis: 'z', metersPerUnit: 0.01 });
    expect(document.faceGroups).toEqual([{ name: 'top', kind: 'material', faces: Int32Array.of(1) }]);
    expect(document.seams).toMatchObject([
      {
        edges: [
          [0, 1],
          [1, 2],
        ],
        role: 'collar',
        length: 4,
      },
    ]);
  });

  const wrong: [string, object, string][] = [
    ['a missing array', { ...minimal, points: undefined }, 'points'],
    ['a misspelt field', { ...minimal, faceVertexCount: [3] }, 'faceVertexCount'],
    ['nested points', { ...minimal, points: [[0, 0, 0]] }, 'points[0]'],
    ['a text among numbers', { ...minimal, points: [0, '1', 0] }, 'points[1]'],
    ['a null among numbers', { ...minimal, points: [0, 0, null] }, 'points[2]'],
    ['a face of two corners', { ...minimal, faceVertexCounts: [2] }, 'faceVertexCounts[0]'],
    ['a broken index', { ...minimal, faceVertexIndices: [0, 1.5, 2] }, 'faceVertexIndices[1]'],
    ['a negative index', { ...minimal, faceVertexIndices: [0, -1, 2] }, 'faceVertexIndices[1]'],
    ['a huge index', { ...minimal, faceVertexIndices: [0, 2 ** 40, 2] }, 'faceVertexIndices[1]'],
    ['an unknown axis', { ...minimal, upAxis: 'up' }, 'upAxis'],
    ['a unit of zero', { ...minimal, metersPerUnit: 0 }, 'metersPerUnit'],
    ['another version', { ...minimal, version: 2 }, 'version'],
    ['half a UV', { ...minimal, primvars: { st: { values: [1] } } }, 'primvars.st.values'],
    ['too few UVs', { ...minimal, primvars: { st: { values: [1, 1] } } }, 'primvars.st.values'],
    [
      'a UV index that leads nowhere',
      { ...minimal, primvars: { st: { values: [1, 1], indices: [0, 0, 1] } } },
      'primvars.st.indices[2]',
    ],
    [
      'a subset index that leads nowhere',
      {
        ...minimal,
        subsets: [
          { name: 'a', indices: [0] },
          { name: 'b', indices: [0, 7] },
        ],
      },
      'subsets[1].indices[1]',
    ],
    [
      'half an edge',
      { ...minimal, subsets: [{ name: 'a', elementType: 'edge', indices: [0] }] },
      'subsets[0].indices',
    ],
    ['a nameless subset', { ...minimal, subsets: [{ indices: [0] }] }, 'subsets[0].name'],
    ['a subset that is no object', { ...minimal, subsets: [3] }, 'subsets[0]'],
    ['an array at the top', [minimal], ''],
  ];
  test.each(wrong)('names the field: %s', async (_, value, path) => {
    const error = await errorOf(() => readExchange(JSON.stringify(value)));
    expect(error).toMatchObject({ code: 'FORMAT_INVALID', details: { path } });
    expect(error.message).toMatch(/^readExchange: .*, got .*, expected /);
  });

  test('keys that touch prototypes change nothing', async () => {
    for (const key of ['__proto__', 'constructor', 'prototype']) {
      const text = JSON.stringify(minimal);
      for (const hostile of [
        `${text.slice(0, -1)},"${key}":{"polluted":1}}`,
        `${text.slice(0, -1)},"primvars":{"${key}":{"values":[1]}}}`,
        `${text.slice(0, -1)},"subsetFamilies":{"${key}":"partition"}}`,
      ]) {
        expect(await errorOf(() => readExchange(hostile))).toMatchObject({ code: 'FORMAT_INVALID' });
      }
    }
    const kept = readExchange(
      `${JSON.stringify(minimal).slice(0, -1)},"customData":{"__proto__":{"polluted":1}}}`,
    );
    writeExchange(kept.source, new Float64Array(6));
    expect(({} as { polluted?: number }).polluted).toBeUndefined();
  });
});

test('the schema uses only keywords of JSON Schema 2020-12 that the checker knows', () => {
  const notes = ['$schema', '$id', 'title', 'description'];
  const rules = [
    ...[
      '$ref',
      '$defs',
      'type',
      'const',
      'enum',
      'minimum',
      'exclusiveMinimum',
      'pattern',
      'items',
      'required',
    ],
    ...['properties', 'propertyNames', 'additionalProperties'],
  ];
  const visit = (schema: object): void => {
    for (const [keyword, value] of Object.entries(schema)) {
      expect([...notes, ...rules]).toContain(keyword);
      if (keyword === 'properties' || keyword === '$defs')
        for (const inner of Object.values(value)) visit(inner as object);
      else if (typeof value === 'object' && !Array.isArray(value)) visit(value);
    }
  };
  visit(EXCHANGE_SCHEMA);
});

describe('writeExchange', () => {
  test('keeps what else the file holds and replaces seams and charts', () => {
    const source = {
      ...createExchange(CUBE),
      primvars: {
        displayColor: { type: 'color3f[]', interpolation: 'constant' as const, values: [1, 0, 0] },
      },
      subsets: [
        { name: 'kept', indices: [0] },
        { name: 'old', familyName: 'charts', indices: [0, 1] },
      ],
      customData: { shot: 12 },
    };
    const { cornerUvs } = cutUvs(CUBE, () => true);
    const seam = {
      edges: [[0, 1]] as [number, number][],
      role: 'opening',
      part: 'left arm',
      side: 'left',
      reason: 'hidden "inside"',
    };
    const written = JSON.parse(
      writeExchange(source, cornerUvs, {
        seams: [seam, seam],
        charts: [{ faces: [0, 1, 2] }, { faces: Int32Array.of(3, 4, 5), part: 'head' }],
      }),
    );
    expect(written.customData).toEqual({ shot: 12 });
    expect(written.primvars.displayColor).toEqual(source.primvars.displayColor);
    expect(written.subsets.map(({ name }: { name: string }) => name)).toEqual([
      'kept',
      'seam_opening_left_arm_left_1',
      'seam_opening_left_arm_left_2',
      'chart_1',
      'chart_head_1',
    ]);
    expect(written.subsetFamilies).toEqual({ seams: 'unrestricted', charts: 'partition' });
    expect(readExchange(written).seams[0]).toMatchObject(seam);
    const faces = written.subsets
      .filter((s: { familyName?: string }) => s.familyName === 'charts')
      .flatMap((s: { indices: number[] }) => s.indices);
    expect(faces.sort()).toEqual([0, 1, 2, 3, 4, 5]);
  });

  test('law: what is written obeys the schema and reads back the same', () => {
    fc.assert(
      fc.property(anyCutShape(), ({ input, cornerUvs, cutVertexCount }) => {
        const text = writeExchange(createExchange(input), cornerUvs);
        checkSchema(JSON.parse(text), EXCHANGE_SCHEMA, 'test');
        const back = readExchange(text);
        expect(Array.from(back.mesh.points)).toEqual(Array.from(input.points));
        expect(Array.from(back.mesh.faceVertexIndices)).toEqual(Array.from(input.faceVertexIndices));
        expect(largestDifference(back.cornerUvs!, cornerUvs)).toBeLessThan(1e-9);
        expect(back.source.primvars!.st!.values.length).toBe(2 * cutVertexCount);
        expect(writeExchange(back.source, back.cornerUvs!)).toBe(text);
      }),
      { numRuns: 50 },
    );
  });

  test('does not change the object it is given', () => {
    const source = createExchange(CUBE);
    const before = JSON.stringify(source);
    addToExchange(source, new Float64Array(48), { seams: [], charts: [] });
    expect(JSON.stringify(source)).toBe(before);
  });
});
