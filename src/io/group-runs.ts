import { GrowableInts } from './growable.js';
import type { ReadLimits } from './limits.js';
import { checkElementCount } from './limits.js';
import type { FaceGroup } from './source-document.js';

/** Collects named groups while faces are read in order; costs no memory per face. */
export class GroupRuns {
  readonly #names: { name: string; kind: FaceGroup['kind'] }[] = [];
  readonly #ids = new Map<string, number>();
  readonly #groups = new GrowableInts();
  readonly #starts = new GrowableInts();
  readonly #ends = new GrowableInts();
  readonly #open = new Map<FaceGroup['kind'], { ids: number[]; start: number }>();

  /** From face `face` on, the groups of this kind are `names`. */
  set(kind: FaceGroup['kind'], names: readonly string[], face: number): void {
    this.#close(kind, face);
    this.#open.set(kind, { ids: [...new Set(names)].map((name) => this.#id(kind, name)), start: face });
  }

  /** Groups that have faces, in the order of their first naming. @throws FORMAT_TOO_LARGE */
  finish(faceCount: number, limits: Required<ReadLimits>, caller: string): FaceGroup[] {
    for (const kind of this.#open.keys()) this.#close(kind, faceCount);
    const counts = new Float64Array(this.#names.length);
    let total = 0;
    for (let r = 0; r < this.#groups.length; r++) {
      const count = this.#ends.at(r) - this.#starts.at(r);
      counts[this.#groups.at(r)]! += count;
      total += count;
    }
    checkElementCount(total, 'group memberships', limits, caller);
    const lists = Array.from(counts, (count) => new Int32Array(count));
    const fill = new Int32Array(this.#names.length);
    for (let r = 0; r < this.#groups.length; r++) {
      const group = this.#groups.at(r);
      for (let f = this.#starts.at(r); f < this.#ends.at(r); f++) lists[group]![fill[group]!++] = f;
    }
    return this.#names
      .map(({ name, kind }, i) => ({ name, kind, faces: lists[i]! }))
      .filter((group) => group.faces.length > 0);
  }

  #close(kind: FaceGroup['kind'], face: number): void {
    const run = this.#open.get(kind);
    if (!run || run.start === face) return;
    for (const id of run.ids) {
      this.#groups.push(id);
      this.#starts.push(run.start);
      this.#ends.push(face);
    }
  }

  #id(kind: FaceGroup['kind'], name: string): number {
    const key = `${kind} ${name}`;
    let id = this.#ids.get(key);
    if (id === undefined) {
      id = this.#names.push({ name, kind }) - 1;
      this.#ids.set(key, id);
    }
    return id;
  }
}
