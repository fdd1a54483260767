import { BridgeError } from './error-codes.js';
import type { Kept } from './job.js';
import type { BridgeLimits } from './limits.js';
import type { StoredCarried, StoredFlat, StoredMesh, StoredProposal, StoredSheet } from './stored.js';

interface HeldMesh {
  readonly mesh: StoredMesh;
  /** What was made from it, by kind, the longest unused first. */
  readonly results: Readonly<Record<Result['kind'], Set<string>>>;
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
      this.#meshes.set(kept.value.id, {
        mesh: kept.value,
        results: { proposal: new Set(), carried: new Set(), flat: new Set(), sheet: new Set() },
      });
      return;
    }
    const ids = this.#held(kept.value.mesh).results[kept.kind];
    this.#results.set(kept.value.id, kept);
    ids.add(kept.value.id);
    for (const id of ids) {
      if (ids.size <= this.#limits.maxResults) break;
      ids.delete(id);
      this.#results.delete(id);
    }
  }

  close(meshId: string): void {
    for (const ids of Object.values(this.#held(meshId).results))
      for (const id of ids) this.#results.delete(id);
    this.#meshes.delete(meshId);
  }

  mesh(id: string): StoredMesh {
    return this.#held(id).mesh;
  }

  proposal(id: string): StoredProposal {
    return this.#result(id, 'proposal').value as StoredProposal;
  }

  carried(id: string): StoredCarried {
    return this.#result(id, 'carried').value as StoredCarried;
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
    if (result?.kind === kind) {
      // To the end of the row: what is in use is not let go of.
      const ids = this.#held(result.value.mesh).results[kind];
      ids.delete(id);
      ids.add(id);
      return result;
    }
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
