import type { Mesh, MeshInput } from '../../mesh/index.js';
import { buildMesh } from '../../mesh/index.js';

/** A built mesh, or the arrays to build one from. */
export type MeshLike = Mesh | MeshInput;

export const asMesh = (mesh: MeshLike): Mesh => ('twin' in mesh ? mesh : buildMesh(mesh));
