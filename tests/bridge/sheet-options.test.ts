import { beforeAll, describe, expect, it } from 'vitest';
import { openSession, TUBE } from './open-session.js';

/** A row of unit squares that share no point: as many charts as squares, in metric units of a centimetre. */
const SQUARES = 3;
const ROW = `#usda 1.0
(
    metersPerUnit = 0.01
    upAxis = "Y"
)
def Mesh "Row" {
    int[] faceVertexCounts = [${new Array(SQUARES).fill(4).join(', ')}]
    int[] faceVertexIndices = [${Array.from({ length: 4 * SQUARES }, (_, i) => i).join(', ')}]
    point3f[] points = [${Array.from({ length: SQUARES }, (_, i) =>
      [
        [2 * i, 0],
        [2 * i + 1, 0],
        [2 * i + 1, 1],
        [2 * i, 1],
      ]
        .map(([x, y]) => `(${x}, ${y}, 0)`)
        .join(', '),
    ).join(', ')}]
}
`;

interface Sheet {
  readonly sheet: string;
  readonly uvs: number[];
  readonly charts: {
    readonly scale: number;
    readonly locked: boolean;
    readonly mirrored: boolean;
    readonly tile: number;
  }[];
  readonly tiles: unknown[];
  readonly density: { readonly pixelsPerMetre: number; readonly pixelsPerUnit: number };
  readonly notes: string[];
}

const { call } = openSession();
let flat: unknown;
let count = 100;

/** Arranges the row of squares at a small resolution. */
const arrange = (params: object) =>
  call(count++, 'sheet/arrange', { flat, resolution: 256, effort: 0, ...params });
const arranged = async (params: object) => (await arrange(params)).result as unknown as Sheet;

beforeAll(async () => {
  await call(1, 'bridge/greet', { protocol: 1 });
  const { result: mesh } = await call(2, 'mesh/open', { document: { name: 'row.usda', text: ROW } });
  expect(mesh).toMatchObject({ metresPerUnit: 0.01, faces: SQUARES });
  ({ flat } = (await call(3, 'charts/flatten', { mesh: mesh!.mesh, edges: [] })).result!);
});

describe('the options of a sheet', () => {
  it('reach a density in pixels per metre, in the unit of the document or in one that is given', async () => {
    // A square of a centimetre at 5,000 pixels a metre is 50 pixels wide.
    const asDocument = await arranged({ density: 5000 });
    expect(asDocument.density.pixelsPerUnit).toBeCloseTo(50, 9);
    expect(asDocument.density.pixelsPerMetre).toBeCloseTo(5000, 6);
    const asGiven = await arranged({ density: 50, metresPerUnit: 1 });
    expect(asGiven.density.pixelsPerUnit).toBeCloseTo(50, 9);
    expect(asGiven.uvs).toEqual(asDocument.uvs);
  });

  it('spread the charts over tiles', async () => {
    // 200 pixels wide, each square needs a tile of 256 for itself.
    expect((await arranged({ density: 20_000 })).tiles).toHaveLength(SQUARES);
    expect((await arrange({ density: 20_000, tiles: 1 })).error?.data).toMatchObject({
      code: 'LAYOUT_IMPOSSIBLE',
    });
    expect((await arranged({ tiles: 3 })).tiles).toHaveLength(3);
  });

  it('weigh charts, faces and parts, as lists and as Base64', async () => {
    const scales = ({ charts }: Sheet) => charts.map(({ scale }) => scale);
    const byChart = await arranged({ weights: { charts: [1, 2, 1] } });
    expect(scales(byChart)[1]! / scales(byChart)[0]!).toBeCloseTo(2, 9);
    expect(scales(byChart)[2]! / scales(byChart)[0]!).toBeCloseTo(1, 9);
    const base64 = Buffer.from(Float32Array.of(1, 2, 1).buffer).toString('base64');
    const byFace = await arranged({ weights: { faces: { type: 'float32', base64 } } });
    expect(byFace.uvs).toEqual(byChart.uvs);
    const { notes } = await arranged({ weights: { parts: { head: 2 } } });
    expect(notes).toContainEqual(expect.stringContaining("part 'head'"));
  });

  it('keep locked charts where they are', async () => {
    const first = await arranged({ weights: { charts: [1, 2, 1] } });
    const uvs = first.uvs.map((value, k) => (k < 8 ? value / 4 : null));
    const next = await arranged({ locked: { charts: [0], uvs } });
    expect(next.charts.map(({ locked }) => locked)).toEqual([true, false, false]);
    expect(next.uvs.slice(0, 8)).toEqual(uvs.slice(0, 8));
  });

  it('lay mirror images over their originals, a tile away, or beside them', async () => {
    const { result: mesh } = await call(10, 'mesh/open', TUBE);
    const { result: proposal } = await call(11, 'seams/propose', {
      mesh: mesh!.mesh,
      sets: 1,
      hints: { keep: middleLine() },
    });
    const [set] = proposal!.sets as { charts: { mirrorOf?: number }[] }[];
    const image = set!.charts.findIndex(({ mirrorOf }) => mirrorOf !== undefined);
    expect(image).toBeGreaterThanOrEqual(0);
    const { result: halves } = await call(12, 'charts/flatten', { proposal: proposal!.proposal });
    const params = { flat: halves!.flat, effort: 0 };
    const stacked = (await call(13, 'sheet/arrange', { ...params, stackMirrored: true })).result!;
    const apart = (await call(14, 'sheet/arrange', params)).result!;
    const beside = (await call(15, 'sheet/arrange', { ...params, pairMirrored: true })).result!;
    expect((stacked as unknown as Sheet).charts[image]).toMatchObject({ mirrored: true, tile: 1002 });
    for (const sheet of [apart, beside])
      expect((sheet as unknown as Sheet).charts[image]).toMatchObject({ mirrored: false, tile: 1001 });
    expect(beside.uvs).not.toEqual(apart.uvs);
  });

  it.each([
    [{ density: 0 }, 'density'],
    [{ metresPerUnit: -1 }, 'metresPerUnit'],
    [{ tiles: 1001 }, 'tiles'],
    [{ tiles: 0 }, 'tiles'],
    [{ padding: 200 }, 'padding'],
    [{ effort: 101 }, 'effort'],
    [{ weights: { parts: { head: 0 } } }, 'weights.parts.head'],
    [{ weights: { parts: { head: 'large' } } }, 'weights.parts.head'],
    [{ weights: { charts: [1, 1] } }, 'weights.charts'],
    [{ weights: { charts: [1, 0, 1] } }, 'weights.charts[1]'],
    [{ weights: { faces: [1, 1, -2] } }, 'weights.faces[2]'],
    [{ weights: { faces: [1, 1, null] } }, 'weights.faces[2]'],
    [{ weights: { points: [] } }, 'weights.points'],
    [{ locked: { charts: [0] } }, 'locked.uvs'],
    [{ locked: { charts: [3], uvs: [] } }, 'locked.charts[0]'],
    [{ locked: { charts: [0], uvs: [0, 0] } }, 'locked.uvs'],
    [{ locked: { charts: [0], uvs: new Array(8 * SQUARES).fill(2) } }, 'locked'],
    [{ locked: { charts: [0], uvs: new Array(8 * SQUARES).fill(0.5) }, tiles: 2 }, 'tiles'],
  ])('are refused by name: %j', async (params, field) => {
    expect((await arrange(params)).error).toMatchObject({ code: -32602, data: { field } });
  });
});

/** Both lines along the tube that lie in the plane between its left and its right. */
function middleLine(): number[] {
  return [2, 6].flatMap((at) =>
    Array.from({ length: 7 }, (_, ring) => [8 * ring + at, 8 * (ring + 1) + at]).flat(),
  );
}
