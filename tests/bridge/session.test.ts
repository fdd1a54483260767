import { describe, expect, it } from 'vitest';
import { BRIDGE_ERRORS } from '../../src/bridge/index.js';
import type { Answer } from './open-session.js';
import { AROUND, openSession, RINGS, SQUARE, TUBE } from './open-session.js';

describe('the conversation', () => {
  it('wants a greeting first, in a version that it speaks', async () => {
    const { call } = openSession();
    expect((await call(1, 'mesh/open', SQUARE)).error?.code).toBe(BRIDGE_ERRORS.notGreeted);
    expect((await call(2, 'bridge/greet', { protocol: 99 })).error).toMatchObject({
      code: BRIDGE_ERRORS.notGreeted,
      data: { supported: [1] },
    });
    expect((await call(3, 'bridge/greet', { protocol: 1 })).result).toMatchObject({
      protocol: 1,
      version: '1.2.3',
    });
    expect((await call('four', 'mesh/open', SQUARE)).result).toMatchObject({ faces: 1, corners: 4 });
  });

  // The examples of the JSON-RPC 2.0 specification, section 7, with our methods.
  it.each([
    ['{"jsonrpc": "2.0", "method": "foobar", "id": "1"}', '1', -32601],
    ['{"jsonrpc": "2.0", "method": "foobar, "params": "bar", "baz]', null, -32700],
    ['{"jsonrpc": "2.0", "method": 1, "params": "bar"}', null, -32600],
    ['[]', null, -32600],
    ['{"id": 5, "method": "bridge/status"}', 5, -32600],
    ['{"jsonrpc": "2.0", "method": "bridge/status", "id": [1]}', null, -32600],
    ['{"jsonrpc": "2.0", "method": "bridge/status", "params": [1], "id": 7}', 7, -32602],
    ['{"jsonrpc": "2.0", "method": "toString", "id": 8}', 8, -32601],
    ['{"jsonrpc": "2.0", "method": "bridge/status", "params": {"__proto__": 1}, "id": 9}', 9, -32602],
    ['null', null, -32600],
    ['5', null, -32600],
    ['[', null, -32700],
    ['[[[[[[[[[['.repeat(20_000), null, -32700],
  ])('answers %.60s with an error', async (message, id, code) => {
    const { text, answerOf } = openSession();
    text(message);
    expect((await answerOf(id)).error?.code).toBe(code);
  });

  it('refuses bytes that are no UTF-8', async () => {
    const { session, answerOf } = openSession();
    session.receive(Uint8Array.of(0x22, 0xc3, 0x28, 0x22));
    expect((await answerOf(null)).error?.code).toBe(BRIDGE_ERRORS.unreadable);
  });

  it('answers a batch with one list, and notifications with nothing', async () => {
    const { sent, text, call } = openSession();
    await call(1, 'bridge/greet', { protocol: 1 });
    text('[{"jsonrpc":"2.0","method":"bridge/status","id":2},1,{"jsonrpc":"2.0","method":"bridge/status"}]');
    text('[{"jsonrpc":"2.0","method":"$/unknown"}]');
    text('{"jsonrpc":"2.0","method":"foobar"}');
    await call(3, 'bridge/status');
    const lists = sent.filter(Array.isArray) as Answer[][];
    expect(lists).toHaveLength(1);
    expect(lists[0]!.map(({ id, error }) => [id, error?.code])).toEqual([
      [2, undefined],
      [null, -32600],
    ]);
    expect(sent).toHaveLength(3);
  });

  it('names what is wrong with a mesh', async () => {
    const { call } = openSession();
    await call(1, 'bridge/greet', { protocol: 1 });
    const answer = await call(2, 'mesh/open', { ...SQUARE, faceVertexIndices: [0, 1, 2, 9] });
    expect(answer.error).toMatchObject({
      code: BRIDGE_ERRORS.invalidMesh,
      data: { code: 'MESH_INDEX_RANGE' },
    });
    const { points: _points, ...rest } = SQUARE;
    expect((await call(3, 'mesh/open', rest)).error?.data).toEqual({ field: 'points' });
    expect((await call(4, 'mesh/open', { ...SQUARE, path: 'a.obj' })).error?.data).toEqual({ field: 'path' });
    expect((await call(5, 'mesh/open', { path: 'a.obj' })).error?.code).toBe(BRIDGE_ERRORS.pathRefused);
  });

  it('opens the text of a file and gives it back with new UVs', async () => {
    const { call } = openSession();
    await call(1, 'bridge/greet', { protocol: 1 });
    const text = '# a flag\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\ng cloth\nf 1 2 3 4\n';
    const { result: mesh } = await call(2, 'mesh/open', { document: { name: 'flag.obj', text } });
    expect(mesh).toMatchObject({ name: 'flag.obj', faces: 1, groups: [{ name: 'cloth', faces: [0] }] });
    const { result: flat } = await call(3, 'charts/flatten', { mesh: mesh!.mesh, edges: [] });
    const { result: sheet } = await call(4, 'sheet/arrange', { flat: flat!.flat, effort: 0 });
    const { result: file } = await call(5, 'sheet/export', { sheet: sheet!.sheet });
    const written = Buffer.from(file!.base64 as string, 'base64').toString();
    expect(written).toContain('# a flag');
    expect(written).toContain('g cloth\n');
    expect(written).toContain('f 1/1 2/2 3/3 4/4\n');
  });

  it('takes numbers as lists and as Base64 of any width', async () => {
    const { call } = openSession();
    await call(1, 'bridge/greet', { protocol: 1, arrays: 'base64' });
    const pack = (type: string, array: Float32Array | Int32Array) => ({
      type,
      base64: Buffer.from(array.buffer).toString('base64'),
    });
    const params = {
      ...SQUARE,
      points: pack('float32', Float32Array.from(SQUARE.points)),
      faceVertexCounts: pack('int32', Int32Array.of(4)),
    };
    const { result: mesh } = await call(2, 'mesh/open', params);
    const { result } = await call(3, 'charts/flatten', { mesh: mesh!.mesh, edges: [] });
    const [chart] = result!.charts as { corners: { type: string; base64: string } }[];
    expect(chart!.corners).toEqual(pack('int32', Int32Array.of(0, 1, 2, 3)));
  });

  it('routes a seam as a proposal would lay it through the same waypoints, with its hints', async () => {
    const { call } = openSession();
    await call(1, 'bridge/greet', { protocol: 1 });
    const { result: mesh } = await call(2, 'mesh/open', TUBE);
    const { result: proposal } = await call(3, 'seams/propose', { mesh: mesh!.mesh, sets: 1 });
    const points = [0, 6 * AROUND + 3];
    const edgesOf = (list: unknown) => {
      const flat = list as number[];
      return flat.flatMap((p, i) => (i % 2 ? [[flat[i - 1]!, p].sort((a, b) => a - b).join()] : []));
    };
    const { result: route } = await call(4, 'seams/route', { proposal: proposal!.proposal, points });
    const { result: laid } = await call(5, 'seams/revise', {
      proposal: proposal!.proposal,
      hints: { waypoints: [points] },
    });
    const [set] = laid!.sets as { seams: { edges: number[] }[] }[];
    const cut = new Set(set!.seams.flatMap(({ edges }) => edgesOf(edges)));
    // Along the tube's ends nothing needs to be cut.
    const isInside = (edge: string) =>
      edge.split(',').some((p) => Number(p) >= AROUND && Number(p) < AROUND * (RINGS - 1));
    const way = edgesOf(route!.edges).filter(isInside);
    expect(way.length).toBeGreaterThan(5);
    expect(way.filter((edge) => !cut.has(edge))).toEqual([]);

    const { result: shy } = await call(6, 'seams/revise', {
      proposal: proposal!.proposal,
      hints: { avoid: route!.edges },
    });
    const { result: detour } = await call(7, 'seams/route', { proposal: shy!.proposal, points });
    expect(edgesOf(detour!.edges).filter((edge) => way.includes(edge))).toEqual([]);
    const both = await call(8, 'seams/route', { proposal: shy!.proposal, mesh: mesh!.mesh, points });
    expect(both.error?.data).toEqual({ field: 'proposal' });
  });

  it('leaves charts alone that are settled, and takes the hint back', async () => {
    const { call } = openSession();
    await call(1, 'bridge/greet', { protocol: 1 });
    const { result: mesh } = await call(2, 'mesh/open', TUBE);
    const own = [4 * AROUND, 4 * AROUND + 1];
    const { result: first } = await call(3, 'seams/propose', {
      mesh: mesh!.mesh,
      sets: 1,
      hints: { keep: own },
    });
    interface Answered {
      readonly charts: readonly { readonly faces: readonly number[] }[];
      readonly seams: readonly { readonly edges: readonly number[] }[];
    }
    const [set] = first!.sets as Answered[];
    const settled = { faces: set!.charts[0]!.faces, edges: set!.seams.flatMap(({ edges }) => edges) };
    const { result: next } = await call(4, 'seams/revise', {
      proposal: first!.proposal,
      hints: { keep: [], settled },
    });
    for (const { charts } of next!.sets as Answered[])
      expect(charts.map(({ faces }) => faces)).toContainEqual(set!.charts[0]!.faces);
    const bad = await call(5, 'seams/revise', {
      proposal: first!.proposal,
      hints: { settled: { faces: settled.faces } },
    });
    expect(bad.error).toMatchObject({ code: -32602, data: { field: 'hints.settled.edges' } });
    const { result: free } = await call(6, 'seams/revise', {
      proposal: next!.proposal,
      hints: { settled: { faces: [], edges: [] } },
    });
    const { result: fresh } = await call(7, 'seams/propose', { mesh: mesh!.mesh, sets: 1 });
    expect(free!.sets).toEqual(fresh!.sets);
  });

  it('keeps a bounded number of results, and drops them with their mesh', async () => {
    const { call } = openSession({ limits: { maxResults: 2 } });
    await call(1, 'bridge/greet', { protocol: 1 });
    const { result: mesh } = await call(2, 'mesh/open', SQUARE);
    const flats: unknown[] = [];
    for (let i = 0; i < 3; i++)
      flats.push((await call(10 + i, 'charts/flatten', { mesh: mesh!.mesh, edges: [] })).result!.flat);
    expect((await call(20, 'sheet/arrange', { flat: flats[0], effort: 0 })).error?.code).toBe(-32002);
    expect((await call(21, 'sheet/arrange', { flat: flats[2], effort: 0 })).error).toBeUndefined();
    await call(22, 'mesh/close', { mesh: mesh!.mesh });
    expect((await call(23, 'bridge/status')).result).toEqual({
      meshes: [],
      results: [],
      corners: 0,
      pending: 0,
    });
  });

  it('refuses a second request of an id that is not answered yet, and too many at once', async () => {
    const { sent, text, call, answerOf } = openSession({ limits: { maxPending: 1 } });
    await call(1, 'bridge/greet', { protocol: 1 });
    const open = JSON.stringify({ jsonrpc: '2.0', id: 2, method: 'mesh/open', params: SQUARE });
    text(open);
    text(open);
    text(open.replace('"id":2', '"id":3'));
    expect((await answerOf(3)).error?.code).toBe(BRIDGE_ERRORS.limitReached);
    await call(4, 'bridge/status');
    const codes = (sent as Answer[]).filter(({ id }) => id === 2).map(({ error }) => error?.code);
    expect(codes).toContain(BRIDGE_ERRORS.notARequest);
  });

  it('cancels a large request that is still being read', async () => {
    const { text, call, answerOf } = openSession();
    await call(1, 'bridge/greet', { protocol: 1 });
    text(
      JSON.stringify({
        jsonrpc: '2.0',
        id: 2,
        method: 'mesh/open',
        params: { ...SQUARE, name: 'x'.repeat(200_000) },
      }),
    );
    text('{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":2}}');
    expect((await answerOf(2)).error?.code).toBe(BRIDGE_ERRORS.cancelled);
  });

  it('says no more after bridge/end', async () => {
    const { sent, text, call } = openSession();
    await call(1, 'bridge/greet', { protocol: 1 });
    await call(2, 'bridge/end');
    text('{"jsonrpc":"2.0","method":"bridge/status","id":3}');
    expect(sent).toHaveLength(2);
  });
});
