import { findMirror } from '../fields/index.js';
import { flattenSets } from '../flattening/index.js';
import type { LayoutOptions } from '../layout/index.js';
import type { Mesh } from '../mesh/index.js';
import type { Proposal, ProposeOptions, SeamSet, SurfaceFacts } from '../proposing/index.js';
import { describeSurface, proposeSeams, proposeSeamsOn } from '../proposing/index.js';
import type { FinishedSheet } from './finish-sheet.js';
import { requestSheet } from './finish-sheet.js';
import type { JobWorkers } from './job-workers.js';
import { createInlineWorkers } from './job-workers.js';
import type { LoadedModel } from './load-model.js';
import type { Progress } from './progress.js';
import type { FileChoice, FileMap } from './proposal-files.js';
import { setFiles } from './proposal-files.js';

/** A set with its finished sheet. */
export interface FinishedSet extends FinishedSheet {
  readonly set: SeamSet;
  /** Of this set alone; none where none are wanted. */
  readonly files: FileMap;
}

export interface FinishedProposal {
  readonly proposal: Proposal;
  readonly surface: SurfaceFacts;
  readonly sets: readonly FinishedSet[];
}

export interface JobOptions {
  readonly propose: ProposeOptions;
  readonly layout: LayoutOptions;
  /** What is written of each set; nothing is written or drawn when left out. */
  readonly files?: FileChoice | undefined;
  readonly signal: AbortSignal;
  /** Starts what does the parts of the job; this thread, one after another, when left out. */
  readonly startWorkers?: ((mesh: Mesh) => JobWorkers) | undefined;
}

const NO_FILES: FileMap = new Map();

/** Shares of the bar that proposing and flattening take; the sheets take the rest. */
const PROPOSING_SHARE = 0.45;
const FLATTENING_SHARE = 0.25;

/** The whole job on one model: propose, flatten, arrange, measure and draw. @throws NO_VALID_SET, CANCELLED */
export async function runJob(
  model: LoadedModel,
  options: JobOptions,
  progress: Progress,
): Promise<FinishedProposal> {
  const { signal, startWorkers } = options;
  const { mesh } = model;
  const workers = startWorkers?.(mesh) ?? createInlineWorkers(mesh, signal);
  try {
    const proposeOptions: ProposeOptions = {
      ...options.propose,
      signal,
      onProgress: (share, stage) => progress.update(PROPOSING_SHARE * share, stage),
    };
    const proposal = workers.proposal
      ? await proposeSeamsOn(mesh, proposeOptions, workers.proposal)
      : await proposeSeams(mesh, proposeOptions);
    const surface = describeSurface(mesh, options.propose);
    for (const conflict of proposal.conflicts) progress.warn(`${conflict.hint}: ${conflict.message}`);
    const sets = await finishSets(model, proposal, { ...options, workers, progress });
    for (const [i, { layout }] of sets.entries())
      for (const note of layout.notes) progress.warn(`set ${i + 1}: ${note}`);
    return { proposal, surface, sets };
  } finally {
    await workers.close();
  }
}

async function finishSets(
  model: LoadedModel,
  { mirror, sets }: Proposal,
  options: JobOptions & { readonly workers: JobWorkers; readonly progress: Progress },
): Promise<FinishedSet[]> {
  const { name, mesh } = model;
  const { workers, progress, signal, files } = options;
  const { up, front, hints } = options.propose;
  let share = PROPOSING_SHARE;
  const advance = (part: number, stage: string) => {
    share += part;
    progress.update(share, stage);
  };
  advance(0, 'flattening');
  let flattened = 0;
  const flats = flattenSets(mesh, sets, {
    // Mirrored charts are laid out as mirror images, to the last digit.
    mirror: mirror && findMirror(mesh, { up, front }),
    lines: hints?.pins,
    flatten: workers.flatten,
    signal,
    onProgress(done) {
      advance(FLATTENING_SHARE * (done - flattened), 'flattening');
      flattened = done;
    },
  });
  return Promise.all(
    sets.map(async (set, i) => {
      const sheet = await workers.finish(
        requestSheet(await flats[i]!, {
          layout: options.layout,
          drawing: files && { set, title: `${name}, ${set.name}`, axes: { up, front } },
        }),
      );
      advance((1 - PROPOSING_SHARE - FLATTENING_SHARE) / sets.length, 'packing');
      // Written while other sets are still packed on other threads.
      return {
        set,
        ...sheet,
        files: files ? await setFiles(model, i + 1, { set, ...sheet }, files) : NO_FILES,
      };
    }),
  );
}
