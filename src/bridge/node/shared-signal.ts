import { LimitError } from '../../errors.js';

/**
 * A signal whose flag lies in shared memory: synchronous work that looks at `aborted` learns of a cancellation from
 * another thread although its own event loop stands still. Listeners are never called.
 */
export class SharedSignal extends EventTarget implements AbortSignal {
  readonly #flag: Int32Array;
  onabort: AbortSignal['onabort'] = null;

  constructor(flag: Int32Array) {
    super();
    this.#flag = flag;
  }

  get aborted(): boolean {
    return Atomics.load(this.#flag, 0) !== 0;
  }

  get reason(): unknown {
    return this.aborted ? new LimitError('CANCELLED', 'the request was cancelled') : undefined;
  }

  throwIfAborted(): void {
    if (this.aborted) throw this.reason;
  }
}
