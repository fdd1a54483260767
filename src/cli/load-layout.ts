import type { LayoutReport } from '../distortion/index.js';
import { measureLayout } from '../distortion/index.js';
import { InvalidMeshError } from '../errors.js';
import type { LoadedModel } from './load-model.js';
import { loadModel } from './load-model.js';
import type { Progress } from './progress.js';
import type { Streams } from './streams.js';

export interface LoadedLayout extends LoadedModel {
  /** 2 × cornerCount. */
  readonly uvs: Float64Array;
  readonly report: LayoutReport;
}

/** Reads a file with UVs and measures them; what was mended is a warning. @throws UV_INVALID */
export async function loadLayout(
  operand: string,
  resolution: number | undefined,
  streams: Streams,
  progress: Progress,
): Promise<LoadedLayout> {
  const model = await loadModel(operand, streams);
  const { document, mesh, name } = model;
  for (const warning of document.warnings) progress.warn(warning);
  for (const repair of mesh.repairs) progress.warn(repair.message);
  const uvs = document.cornerUvs;
  if (!uvs) {
    throw new InvalidMeshError(
      'UV_INVALID',
      `measure: the file has no UVs, got '${name}', expected a file with UVs`,
    );
  }
  return { ...model, uvs, report: measureLayout(mesh, uvs, { resolution }) };
}
