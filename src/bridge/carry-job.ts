import { LAYOUT_DEFAULTS } from '../layout/index.js';
import type { Mesh } from '../mesh/index.js';
import { edgePoints } from '../mesh/index.js';
import { isUvSeam } from '../proposing/index.js';
import type { CarryResult } from '../revising/index.js';
import { carryOver } from '../revising/index.js';
import type { Job, Kept } from './job.js';
import type { MeshCache } from './mesh-cache.js';
import { invalidParams } from './number-arrays.js';
import { pickSeams } from './sheet-jobs.js';
import type { StoredMesh, StoredSet, StoredSheet } from './stored.js';

/** Carries seams, and the UVs of a sheet, over to another version of their mesh. */
export function carryForClient(
  job: Job,
  cache: MeshCache,
): { result: Record<string, unknown>; kept: readonly Kept[] } {
  const { params, mesh, to, proposal, carried, newId, newSheetId } = job;
  const from = cache.mesh(mesh!);
  const sheet = newSheetId === undefined ? undefined : (job.sheet ?? readOpenedSheet(mesh!, from));
  const target = cache.mesh(to!);
  const options = { tolerance: params.tolerance as number | undefined };
  const old = pickSeams(job, sheet);
  // Each by itself, as the seams need not be those that the sheet was cut along.
  const cut = carryOver(from, { seams: old.seams }, target, options);
  const laid = sheet && carryOver(from, { uvs: sheet.uvs }, target, options);
  const set: StoredSet = {
    name: old.name,
    seams: cut.seams!.map(({ edges }, i) => {
      const { role, part, side, reason } = old.seams[i]!;
      return { edges, role, part, side, reason };
    }),
    charts: cut.isExact ? old.charts : [],
  };
  const { up, front } = (proposal ?? carried)?.options ?? {};
  const isMirrored = (proposal ?? carried)?.isMirrored ?? false;
  const kept: Kept[] = [
    { kind: 'carried', value: { id: newId!, mesh: to!.id, set, options: { up, front }, isMirrored } },
  ];
  if (laid) {
    const { resolution } = sheet;
    kept.push({ kind: 'sheet', value: { id: newSheetId!, mesh: to!.id, set, uvs: laid.uvs!, resolution } });
  }
  return {
    kept,
    result: {
      carried: newId,
      sheet: newSheetId ?? null,
      isExact: cut.isExact,
      seams: set.seams.map(({ edges, ...seam }) => ({ ...seam, edges: Int32Array.from(edges.flat()) })),
      uvs: laid?.uvs ?? null,
      lostEdges: groupBySeam(cut.lostEdges),
      unmatchedFaces: Int32Array.from(laid?.unmatchedFaces ?? []),
      doubtfulFaces: Int32Array.from(laid?.doubtfulFaces ?? []),
      notes: [...cut.notes, ...(laid?.notes ?? [])],
    },
  };
}

/** The UVs that a mesh was opened with, and the seams that they are cut along. */
function readOpenedSheet(
  { cornerUvs }: StoredMesh,
  mesh: Mesh,
): Pick<StoredSheet, 'set' | 'uvs' | 'resolution'> {
  if (!cornerUvs)
    throw invalidParams('mesh', 'a mesh that was opened without UVs', 'one with UVs, or seams or a sheet');
  const edges: [number, number][] = [];
  for (let e = 0; e < mesh.edgeCount; e++) if (isUvSeam(mesh, cornerUvs, e)) edges.push(edgePoints(mesh, e));
  return {
    set: { name: 'seams of the UVs', seams: [{ edges }], charts: [] },
    uvs: cornerUvs,
    resolution: LAYOUT_DEFAULTS.resolution,
  };
}

function groupBySeam(lost: CarryResult['lostEdges']): { seam: number; edges: Int32Array }[] {
  const points = new Map<number, number[]>();
  for (const { seam, edge } of lost) {
    const list = points.get(seam);
    if (list) list.push(...edge);
    else points.set(seam, [...edge]);
  }
  return Array.from(points, ([seam, edges]) => ({ seam, edges: Int32Array.from(edges) }));
}
