import type { MessagePort } from 'node:worker_threads';
import { SeamwrightError } from '../errors.js';
import type { FlatChart, FlattenOptions } from '../flattening/index.js';
import { flattenChart } from '../flattening/index.js';
import type { ChartSurface, Mesh } from '../mesh/index.js';
import type {
  DrawingGround,
  DrawnStrategy,
  ExposureWishes,
  StudyRecord,
  SurfaceExposures,
} from '../proposing/index.js';
import { drawSet, exposeSurface, recallStudy } from '../proposing/index.js';
import type { FinishedSheet, SheetRequest } from './finish-sheet.js';
import { SheetFinisher } from './finish-sheet.js';

/** One part of a job. */
export type ToJobThread =
  | { readonly type: 'expose'; readonly wishes: ExposureWishes }
  /** Comes before the first strategy to draw, and has no answer. */
  | { readonly type: 'study'; readonly record: StudyRecord }
  | { readonly type: 'draw'; readonly strategy: number }
  | { readonly type: 'flatten'; readonly surface: ChartSurface; readonly options: FlattenOptions }
  | { readonly type: 'finish'; readonly request: SheetRequest };

export type PartResult = SurfaceExposures | DrawnStrategy | FlatChart | FinishedSheet;

export type FromJobThread =
  | { readonly type: 'done'; readonly value: PartResult }
  /** `fault` is a structured copy of what was thrown; an error of the library loses its class on the way. */
  | {
      readonly type: 'failed';
      readonly fault: unknown;
      readonly known?: Pick<SeamwrightError, 'code' | 'message' | 'details'>;
    };

/** A thread's side of a job on one mesh: does one part at a time. */
export function serveJobThread(port: MessagePort, mesh: Mesh): void {
  const finisher = new SheetFinisher(mesh);
  let ground: DrawingGround | undefined;
  const work = (message: Exclude<ToJobThread, { type: 'study' }>): PartResult => {
    if (message.type === 'expose') return exposeSurface(mesh, message.wishes);
    if (message.type === 'draw') return drawSet(ground!, message.strategy);
    // Nothing is drawn any more: what was remembered of it makes room.
    ground = undefined;
    return message.type === 'flatten'
      ? flattenChart(message.surface, message.options)
      : finisher.finish(message.request);
  };
  port.on('message', (message: ToJobThread) => {
    try {
      if (message.type === 'study') {
        ground = recallStudy(message.record);
        return;
      }
      const value = work(message);
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
