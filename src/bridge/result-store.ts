import { BridgeError } from './error-codes.js';
import type { Kept } from './job.js';
import type { BridgeLimits } from './limits.js';
import type { StoredFlat, StoredMesh, StoredProposal, StoredSheet } from './stored.js';

interface HeldMesh {
  readonly mesh: StoredMesh;
  /** Ids of what was made from it, oldest first. */
  readonly results: string[];
}

type Result = Exclude<Kept, { kind: 'mesh' }>;

/** The open meshes and what was made from them, by the names that the client uses. */
export class ResultStore {
  readonly #limits: BridgeLimits;
  readonly #meshes = new Map<string, HeldMesh>();
  readonly #results = new Map<string, Result>();
  #counter = 0;

  constructor(limits: BridgeLimits) {
    this.#limits = limits;
  }

  /** A name never used before. */
  newId(kind: Kept['kind']): string {
    return `${kind}-${++this.#counter}`;
  }

  get meshIds(): string[] {
    return [...this.#meshes.keys()];
  }

  get resultIds(): string[] {
    return [...this.#results.keys()];
  }

  get cornerCount(): number {
    let count = 0;
    for (const { mesh } of this.#meshes.values()) count += mesh.faceVertexIndices.length;
    return count;
  }

  /** @throws limitReached when there is no room for another mesh */
  checkRoom(cornerCount = 0): void {
    const { maxMeshes, maxCorners } = this.#limits;
    if (this.#meshes.size >= maxMeshes) {
      throw new BridgeError(
        'limitReached',
        `mesh/open: too many open meshes, got ${this.#meshes.size + 1}, expected at most ${maxMeshes}; close one first`,
        { limit: 'maxMeshes', value: maxMeshes },
      );
    }
    const total = this.cornerCount + cornerCount;
    if (total > maxCorners) {
      throw new BridgeError(
        'limitReached',
        `mesh/open: the open meshes are too large, got ${total} corners together, expected at most ${maxCorners}`,
        { limit: 'maxCorners', value: maxCorners },
      );
    }
  }

  /** @throws limitReached for a mesh too many; unknownHandle when the result's mesh was closed meanwhile */
  keep(kept: Kept): void {
    if (kept.kind === 'mesh') {
      this.checkRoom(kept.value.faceVertexIndices.length);
      this.#meshes.set(kept.value.id, { mesh: kept.value, results: [] });
      return;
    }
    const held = this.#held(kept.value.mesh);
    this.#results.set(kept.value.id, kept);
    held.results.push(kept.value.id);
    while (held.results.length > this.#limits.maxResults) this.#results.delete(held.results.shift()!);
  }

  close(meshId: string): void {
    for (const id of this.#held(meshId).results) this.#results.delete(id);
    this.#meshes.delete(meshId);
  }

  mesh(id: string): StoredMesh {
    return this.#held(id).mesh;
  }

  proposal(id: string): StoredProposal {
    return this.#result(id, 'proposal').value as StoredProposal;
  }

  flat(id: string): StoredFlat {
    return this.#result(id, 'flat').value as StoredFlat;
  }

  sheet(id: string): StoredSheet {
    return this.#result(id, 'sheet').value as StoredSheet;
  }

  #held(id: string): HeldMesh {
    const held = this.#meshes.get(id);
    if (!held) throw unknownHandle('mesh', id, 'the name of an open mesh');
    return held;
  }

  #result(id: string, kind: Result['kind']): Result {
    const result = this.#results.get(id);
    if (result?.kind === kind) return result;
    throw unknownHandle(kind, id, `the name of a ${kind} that is still held`);
  }
}

const unknownHandle = (field: string, id: string, expected: string): BridgeError =>
  new BridgeError(
    'unknownHandle',
    `params: ${field} is not known, got '${id.slice(0, 60)}', expected ${expected}`,
    {
      field,
    },
  );
