import { setImmediate } from 'node:timers/promises';
import { throwIfAborted } from '../errors.js';
import type { ChartFlattener } from '../flattening/index.js';
import { flattenChart } from '../flattening/index.js';
import type { Mesh } from '../mesh/index.js';
import type { ProposalWorkers } from '../proposing/index.js';
import type { FinishedSheet, SheetRequest } from './finish-sheet.js';
import { SheetFinisher } from './finish-sheet.js';

/** Does the parts of a job that do not depend on one another. */
export interface JobWorkers {
  /** Left out where a proposal is as well worked out in place. */
  readonly proposal?: ProposalWorkers;
  readonly flatten: ChartFlattener;
  readonly finish: (request: SheetRequest) => Promise<FinishedSheet>;
  readonly close: () => Promise<void>;
}

/** Does one part after another on this thread, with a breath before each, so that an interrupt is noticed. */
export function createInlineWorkers(mesh: Mesh, signal: AbortSignal): JobWorkers {
  const finisher = new SheetFinisher(mesh);
  let last: Promise<unknown> = Promise.resolve();
  const enqueue = <T>(run: () => T): Promise<T> => {
    const result = last.then(async () => {
      await setImmediate();
      throwIfAborted(signal);
      return run();
    });
    last = result.catch(() => undefined);
    return result;
  };
  return {
    flatten: (surface, options) => enqueue(() => flattenChart(surface, options)),
    finish: (request) => enqueue(() => finisher.finish(request, signal)),
    close: async () => undefined,
  };
}
