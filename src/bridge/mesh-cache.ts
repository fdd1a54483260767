import type { Mirror } from '../fields/index.js';
import { findMirror } from '../fields/index.js';
import { buildSpokes, FlowSearch } from '../graph/index.js';
import type { MeshDocument } from '../io/index.js';
import { readMesh } from '../io/index.js';
import type { Vec3 } from '../math/index.js';
import type { CanonicalMesh, Mesh } from '../mesh/index.js';
import { buildMesh } from '../mesh/index.js';
import type { ProposeOptions } from '../proposing/index.js';
import { studyMesh } from '../proposing/index.js';
import type { StoredMesh } from './stored.js';

/** Ground for picking paths on a mesh: that of a proposal with the same options. */
export interface RouteGround {
  readonly canonical: CanonicalMesh;
  readonly exposure: Float64Array;
  readonly search: FlowSearch;
}

interface CachedMesh {
  readonly mesh: Mesh;
  document?: MeshDocument;
  /** The latest, with what it was made for. */
  ground?: { readonly key: string; readonly ground: RouteGround };
  readonly mirrors: Map<string, Mirror | undefined>;
}

/**
 * Corners of the meshes kept built in one worker; beyond these the least recently used is built again when needed.
 * The one in use always stays.
 */
const HELD_CORNERS = 2 ** 22;

/** What a worker remembers between jobs: nothing that cannot be made again from the job itself. */
export class MeshCache {
  readonly #meshes = new Map<string, CachedMesh>();

  mesh(stored: StoredMesh): Mesh {
    return this.#entry(stored).mesh;
  }

  /** Keeps a mesh that was built while it was opened. */
  add(id: string, mesh: Mesh, document?: MeshDocument): void {
    this.#meshes.set(id, { mesh, mirrors: new Map(), ...(document && { document }) });
    this.#trim();
  }

  /** The document that a mesh came from, or one made of its arrays. */
  async document(stored: StoredMesh): Promise<MeshDocument> {
    const entry = this.#entry(stored);
    entry.document ??= await readStoredDocument(stored);
    return entry.document;
  }

  /** @param key - tells the options from others of the same mesh */
  ground(stored: StoredMesh, key: string, options: ProposeOptions): RouteGround {
    const entry = this.#entry(stored);
    if (entry.ground?.key !== key) entry.ground = { key, ground: buildGround(entry.mesh, options) };
    return entry.ground.ground;
  }

  /** The mesh's mirror across the plane between its left and right, if it has one. */
  mirror(stored: StoredMesh, up: Vec3, front: Vec3): Mirror | undefined {
    const { mesh, mirrors } = this.#entry(stored);
    const key = JSON.stringify([up, front]);
    if (!mirrors.has(key)) mirrors.set(key, findMirror(mesh, { up, front }));
    return mirrors.get(key);
  }

  forget(id: string): void {
    this.#meshes.delete(id);
  }

  #entry(stored: StoredMesh): CachedMesh {
    const entry = this.#meshes.get(stored.id) ?? {
      mesh: buildMesh(stored),
      mirrors: new Map(),
    };
    this.#meshes.delete(stored.id);
    this.#meshes.set(stored.id, entry);
    this.#trim();
    return entry;
  }

  #trim(): void {
    let cornerCount = 0;
    for (const { mesh } of this.#meshes.values()) cornerCount += mesh.cornerCount;
    for (const [id, { mesh }] of this.#meshes) {
      if (cornerCount <= HELD_CORNERS || this.#meshes.size === 1) return;
      cornerCount -= mesh.cornerCount;
      this.#meshes.delete(id);
    }
  }
}

function buildGround(mesh: Mesh, options: ProposeOptions): RouteGround {
  const { canonical, exposure, cornerAngles, ground } = studyMesh(mesh, options);
  const search = new FlowSearch(buildSpokes(canonical.mesh, cornerAngles), ground.edgeCosts);
  return { canonical, exposure, search };
}

/** Reads the kept bytes again; arrays without a file become an exchange document. */
export async function readStoredDocument(stored: StoredMesh): Promise<MeshDocument> {
  const { document } = stored;
  if (document) {
    // Shared memory is no good to text decoders.
    return readMesh(document.bytes.slice(), {
      name: document.name,
      readResource: async (uri) => document.resources[uri]!.slice(),
    });
  }
  const { points, faceVertexCounts, faceVertexIndices } = stored;
  const source = {
    version: 1,
    name: stored.name,
    points: Array.from(points),
    faceVertexCounts: Array.from(faceVertexCounts),
    faceVertexIndices: Array.from(faceVertexIndices),
  };
  return readMesh(new TextEncoder().encode(JSON.stringify(source)), { format: 'json' });
}
