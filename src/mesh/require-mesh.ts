import { InvalidMeshError } from '../errors.js';
import type { Mesh } from './mesh.js';

/**
 * Tells callers without type checks that a file's arrays are not a mesh yet.
 *
 * @throws OPTION_INVALID unless `buildMesh` made the mesh
 */
export function requireMesh(mesh: Mesh, caller: string): void {
  if (ArrayBuffer.isView((mesh as Partial<Mesh> | undefined)?.twin)) return;
  throw new InvalidMeshError(
    'OPTION_INVALID',
    `${caller}: the first argument is no built mesh, got ${mesh === null ? 'null' : typeof mesh}, expected what buildMesh returns`,
  );
}
