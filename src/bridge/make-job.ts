import type { Job } from './job.js';
import type { MethodName } from './method-schemas.js';
import type { ArrayForm } from './number-arrays.js';
import { invalidParams } from './number-arrays.js';
import type { RpcRequest } from './read-request.js';
import type { ResultStore } from './result-store.js';
import type { StoredMesh } from './stored.js';

type Params = RpcRequest['params'];

/** Looks up everything that a checked request names. @throws unknownHandle, limitReached, invalidParams */
export function makeJob({ method, params }: RpcRequest, store: ResultStore, form: ArrayForm): Job {
  const name = method as MethodName;
  const job = { method: name, params, form };
  switch (name) {
    case 'mesh/open':
      store.checkRoom();
      return { ...job, newId: store.newId('mesh') };
    case 'seams/propose':
      return { ...job, mesh: store.mesh(params.mesh as string), newId: store.newId('proposal') };
    case 'seams/revise':
      return { ...job, ...findSeams(params, store), newId: store.newId('proposal') };
    case 'seams/route':
      return { ...job, ...findSeams(params, store) };
    case 'seams/carry':
      return { ...job, ...findCarried(params, store), newId: store.newId('carried') };
    case 'charts/flatten':
      return { ...job, ...findSeams(params, store), newId: store.newId('flat') };
    case 'sheet/arrange': {
      const flat = store.flat(params.flat as string);
      return { ...job, flat, mesh: store.mesh(flat.mesh), newId: store.newId('sheet') };
    }
    case 'sheet/measure':
    case 'sheet/export': {
      if (params.sheet === undefined) return { ...job, mesh: store.mesh(params.mesh as string) };
      const sheet = store.sheet(params.sheet as string);
      return { ...job, sheet, mesh: store.mesh(sheet.mesh) };
    }
    default:
      return { ...job, mesh: store.mesh(params.mesh as string) };
  }
}

/** Seams of a proposal or carried ones, with their mesh; or the mesh alone. */
function findSeams(params: Params, store: ResultStore) {
  if (params.proposal !== undefined) {
    const proposal = store.proposal(params.proposal as string);
    return { proposal, mesh: store.mesh(proposal.mesh) };
  }
  if (params.carried !== undefined) {
    const carried = store.carried(params.carried as string);
    return { carried, mesh: store.mesh(carried.mesh) };
  }
  return { mesh: store.mesh(params.mesh as string) };
}

/** Seams and a sheet of one mesh, or that mesh alone, and the mesh that they are carried over to. */
function findCarried(params: Params, store: ResultStore): Partial<Job> {
  const sheet = params.sheet === undefined ? undefined : store.sheet(params.sheet as string);
  const hasSeams = ['proposal', 'carried', 'edges'].some((name) => params[name] !== undefined);
  const source = hasSeams || !sheet ? findSeams(params, store) : { mesh: store.mesh(sheet.mesh) };
  if (sheet) checkMesh('sheet', sheet.mesh, source.mesh);
  if (params.mesh !== undefined) checkMesh('mesh', params.mesh as string, source.mesh);
  const to = store.mesh(params.to as string);
  // A mesh by itself brings the UVs that it was opened with.
  const hasUvs = sheet !== undefined || !hasSeams;
  return { ...source, sheet, to, newSheetId: hasUvs ? store.newId('sheet') : undefined };
}

function checkMesh(field: string, got: string, { id }: StoredMesh): void {
  if (got !== id) throw invalidParams(field, `one of ${got}`, `one of ${id}, as the seams are`);
}
