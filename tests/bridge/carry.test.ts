import { beforeAll, describe, expect, it } from 'vitest';
import { AROUND, openSession, RINGS, SQUARE, TUBE } from './open-session.js';

/** The tube with each quad cut in two: the same places, other faces. */
const CUT = {
  points: TUBE.points,
  faceVertexCounts: new Array<number>(2 * TUBE.faceVertexCounts.length).fill(3),
  faceVertexIndices: TUBE.faceVertexCounts.flatMap((_, f) => {
    const [a, b, c, d] = TUBE.faceVertexIndices.slice(4 * f, 4 * f + 4);
    return [a!, b!, c!, a!, c!, d!];
  }),
};

/** The same faces in another pose: bent to the side. */
const BENT = {
  ...TUBE,
  points: TUBE.points.map((x, k) => (k % 3 === 0 ? x + TUBE.points[k + 1]! ** 2 / 10 : x)),
};

/** A face with nothing of the tube near it. */
const FAR = { ...SQUARE, points: SQUARE.points.map((x) => x + 100) };

/** Pairs of points, each from low to high, in order. */
const pairsOf = (lists: readonly (readonly number[])[]) =>
  lists
    .flatMap((flat) =>
      flat.flatMap((p, i) => (i % 2 ? [[flat[i - 1]!, p].sort((a, b) => a - b).join()] : [])),
    )
    .sort();

const LINE = Array.from({ length: RINGS - 1 }, (_, ring) => [AROUND * ring, AROUND * (ring + 1)]).flat();

interface Carried {
  readonly carried: string;
  readonly sheet: string | null;
  readonly isExact: boolean;
  readonly seams: { readonly edges: number[]; readonly role?: string; readonly length?: number }[];
  readonly uvs: number[] | null;
  readonly lostEdges: { readonly seam: number; readonly edges: number[] }[];
  readonly unmatchedFaces: number[];
  readonly doubtfulFaces: number[];
  readonly notes: string[];
}

const { call } = openSession();
let count = 100;
const ask = async (method: string, params: object) => (await call(count++, method, params)).result!;
const carry = async (params: object) => (await ask('seams/carry', params)) as unknown as Carried;
const refused = async (params: object) => (await call(count++, 'seams/carry', params)).error;

let tube: unknown;
let cut: unknown;
let bent: unknown;
let far: unknown;
let proposal: Record<string, unknown>;
let sheet: Record<string, unknown>;

beforeAll(async () => {
  await call(1, 'bridge/greet', { protocol: 1 });
  [tube, cut, bent, far] = [
    (await ask('mesh/open', TUBE)).mesh,
    (await ask('mesh/open', CUT)).mesh,
    (await ask('mesh/open', BENT)).mesh,
    (await ask('mesh/open', FAR)).mesh,
  ];
  proposal = await ask('seams/propose', { mesh: tube, sets: 1 });
  const { flat } = await ask('charts/flatten', { proposal: proposal.proposal });
  sheet = await ask('sheet/arrange', { flat, resolution: 512, effort: 0 });
});

describe('seams/carry', () => {
  it('takes seams and a sheet as they are to a mesh of the same faces, with their charts', async () => {
    const { sheet: id, ...carried } = await carry({
      to: bent,
      proposal: proposal.proposal,
      sheet: sheet.sheet,
    });
    const [set] = proposal.sets as { seams: { edges: number[]; role: string }[]; charts: object[] }[];
    expect(carried).toMatchObject({
      isExact: true,
      uvs: sheet.uvs,
      lostEdges: [],
      unmatchedFaces: [],
      doubtfulFaces: [],
      notes: [],
    });
    expect(carried.seams.map(({ edges, role }) => ({ edges, role }))).toEqual(
      set!.seams.map(({ edges, role }) => ({ edges, role })),
    );
    // A length that was measured in the old pose would be wrong here.
    expect(carried.seams[0]).not.toHaveProperty('length');
    const measured = await ask('sheet/measure', { sheet: id });
    expect(measured).toMatchObject({ overlappingPairs: 0, flippedFaces: [] });
    const file = await ask('sheet/export', { sheet: id, format: 'obj' });
    const text = Buffer.from(file.base64 as string, 'base64').toString();
    expect(text.match(/^vt /gm)!.length).toBeGreaterThan(AROUND);
    const flat = await ask('charts/flatten', { carried: carried.carried });
    expect((flat.charts as { part?: string; faces: number[] }[]).map(({ faces }) => faces)).toEqual(
      (set!.charts as { faces: number[] }[]).map(({ faces }) => faces),
    );
  });

  it('takes own edges to a mesh cut finer, and on from there', async () => {
    const first = await carry({ to: cut, mesh: tube, edges: LINE });
    expect(first).toMatchObject({ isExact: false, lostEdges: [], sheet: null, uvs: null });
    expect(pairsOf(first.seams.map(({ edges }) => edges))).toEqual(pairsOf([LINE]));
    const flat = await ask('charts/flatten', { carried: first.carried });
    expect(flat.charts).toHaveLength(1);
    const back = await carry({ to: tube, carried: first.carried });
    expect(pairsOf(back.seams.map(({ edges }) => edges))).toEqual(pairsOf([LINE]));
  });

  it('lays a sheet on a mesh cut finer, where every corner lies as it did', async () => {
    const carried = await carry({ to: cut, sheet: sheet.sheet });
    expect(carried).toMatchObject({ isExact: false, unmatchedFaces: [], doubtfulFaces: [] });
    // Corner k of a triangle of quad f is that quad's corner 0, 1, 2 or 0, 2, 3.
    const old = sheet.uvs as number[];
    const corners = TUBE.faceVertexCounts.flatMap((_, f) => [0, 1, 2, 0, 2, 3].map((c) => 4 * f + c));
    corners.forEach((corner, k) => {
      for (const axis of [0, 1]) expect(carried.uvs![2 * k + axis]).toBeCloseTo(old[2 * corner + axis]!, 9);
    });
    const [set] = proposal.sets as { seams: { edges: number[] }[] }[];
    expect(pairsOf(carried.seams.map(({ edges }) => edges))).toEqual(
      pairsOf(set!.seams.map(({ edges }) => edges)),
    );
    const measured = await ask('sheet/measure', { sheet: carried.sheet });
    expect((measured.faceCharts as number[]).length).toBe(CUT.faceVertexCounts.length);
  });

  it('takes the UVs that a mesh was opened with, and their seams', async () => {
    const opened = await ask('mesh/open', { ...TUBE, uvs: sheet.uvs });
    const exact = await carry({ to: bent, mesh: opened.mesh });
    expect(exact.isExact).toBe(true);
    expect(exact.uvs).toEqual(sheet.uvs);
    const carried = await carry({ to: cut, mesh: opened.mesh });
    const [set] = proposal.sets as { seams: { edges: number[] }[] }[];
    expect(pairsOf(carried.seams.map(({ edges }) => edges))).toEqual(
      pairsOf(set!.seams.map(({ edges }) => edges)),
    );
    expect((await ask('sheet/measure', { sheet: carried.sheet })).flippedFaces).toEqual([]);
    expect(await refused({ to: cut, mesh: tube })).toMatchObject({ data: { field: 'mesh' } });
  });

  it('says what found no place', async () => {
    const carried = await carry({ to: far, mesh: tube, edges: LINE, sheet: sheet.sheet });
    expect(carried.isExact).toBe(false);
    expect(pairsOf(carried.lostEdges.map(({ edges }) => edges))).toEqual(pairsOf([LINE]));
    expect(carried.lostEdges.map(({ seam }) => seam)).toEqual([0]);
    expect(carried.unmatchedFaces).toEqual([0]);
    expect(carried.uvs).toEqual(new Array(8).fill(null));
    expect(carried.notes).toHaveLength(2);
  });

  it('names what is wrong', async () => {
    const { sheet: id } = sheet;
    const data = async (params: object) => (await refused(params))?.data?.field;
    expect(await data({ to: cut })).toBe('proposal');
    expect(await data({ sheet: id })).toBe('to');
    expect(await data({ to: cut, proposal: proposal.proposal, mesh: tube, edges: LINE })).toBe('edges');
    expect(await data({ to: cut, edges: LINE })).toBe('mesh');
    expect(await data({ to: cut, mesh: bent, edges: LINE, sheet: id })).toBe('sheet');
    expect(await data({ to: cut, mesh: bent, proposal: proposal.proposal })).toBe('mesh');
    expect(await data({ to: cut, proposal: proposal.proposal, set: 5 })).toBe('set');
    expect(await data({ to: cut, sheet: id, tolerance: 2 })).toBe('tolerance');
    expect(await refused({ to: 'mesh-99', sheet: id })).toMatchObject({ code: -32002 });
    expect(await refused({ to: cut, carried: 'carried-99' })).toMatchObject({ code: -32002 });
  });

  it('is let go of with the mesh that it was carried to', async () => {
    const { mesh } = await ask('mesh/open', CUT);
    const { carried } = await carry({ to: mesh, mesh: tube, edges: LINE });
    await ask('mesh/close', { mesh });
    const { error } = await call(count++, 'charts/flatten', { carried });
    expect(error).toMatchObject({ code: -32002, data: { field: 'carried' } });
  });
});
