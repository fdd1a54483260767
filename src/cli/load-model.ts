import { basename } from 'node:path';
import type { MeshDocument } from '../io/index.js';
import { readMesh } from '../io/index.js';
import { readMeshFile } from '../io/node/index.js';
import type { Mesh } from '../mesh/index.js';
import { buildMesh } from '../mesh/index.js';
import type { Streams } from './streams.js';

export interface LoadedModel {
  /** File name without its folder, so that results do not tell where they were made. */
  readonly name: string;
  readonly document: MeshDocument;
  readonly mesh: Mesh;
}

/** Reads and builds the model that an operand names; `-` is standard input. */
export async function loadModel(operand: string, streams: Streams): Promise<LoadedModel> {
  const isInput = operand === '-';
  const document = isInput ? await readMesh(await streams.readInput()) : await readMeshFile(operand);
  return { name: isInput ? 'standard input' : basename(operand), document, mesh: buildMesh(document.mesh) };
}
