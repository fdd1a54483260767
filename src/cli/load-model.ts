import { basename } from 'node:path';
import type { SourceDocument } from '../io/index.js';
import { readExchange } from '../io/index.js';
import { readMeshFile } from '../io/node/index.js';
import type { Mesh } from '../mesh/index.js';
import { buildMesh } from '../mesh/index.js';
import type { Streams } from './streams.js';

export interface LoadedModel {
  /** File name without its folder, so that results do not tell where they were made. */
  readonly name: string;
  readonly document: SourceDocument;
  readonly mesh: Mesh;
}

/** Reads and builds the model that an operand names; `-` is exchange JSON on standard input. */
export async function loadModel(operand: string, streams: Streams): Promise<LoadedModel> {
  const document = operand === '-' ? readExchange(await streams.readInput()) : await readMeshFile(operand);
  return {
    name: operand === '-' ? 'standard input' : basename(operand),
    document,
    mesh: buildMesh(document.mesh),
  };
}
