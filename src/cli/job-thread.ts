import type { MessagePort } from 'node:worker_threads';
import { SeamwrightError } from '../errors.js';
import type { FlatChart, FlattenOptions } from '../flattening/index.js';
import { flattenChart } from '../flattening/index.js';
import type { ChartSurface, Mesh } from '../mesh/index.js';
import type { FinishedSheet, SheetRequest } from './finish-sheet.js';
import { SheetFinisher } from './finish-sheet.js';

/** One part of a job. */
export type ToJobThread =
  | { readonly type: 'flatten'; readonly surface: ChartSurface; readonly options: FlattenOptions }
  | { readonly type: 'finish'; readonly request: SheetRequest };

export type FromJobThread =
  | { readonly type: 'done'; readonly value: FlatChart | FinishedSheet }
  /** `fault` is a structured copy of what was thrown; an error of the library loses its class on the way. */
  | {
      readonly type: 'failed';
      readonly fault: unknown;
      readonly known?: Pick<SeamwrightError, 'code' | 'message' | 'details'>;
    };

/** A thread's side of a job on one mesh: does one part at a time. */
export function serveJobThread(port: MessagePort, mesh: Mesh): void {
  const finisher = new SheetFinisher(mesh);
  port.on('message', (message: ToJobThread) => {
    try {
      const value =
        message.type === 'flatten'
          ? flattenChart(message.surface, message.options)
          : finisher.finish(message.request);
      port.postMessage({ type: 'done', value } satisfies FromJobThread);
    } catch (error) {
      const answer: FromJobThread =
        error instanceof SeamwrightError
          ? {
              type: 'failed',
              fault: undefined,
              known: { code: error.code, message: error.message, details: error.details },
            }
          : { type: 'failed', fault: error };
      port.postMessage(answer);
    }
  });
}
