import { setImmediate } from 'node:timers/promises';
import type { LayoutReport } from '../distortion/index.js';
import { measureLayout } from '../distortion/index.js';
import { throwIfAborted } from '../errors.js';
import { findMirror } from '../fields/index.js';
import { flattenCharts } from '../flattening/index.js';
import type { Layout, LayoutOptions } from '../layout/index.js';
import { arrangeCharts } from '../layout/index.js';
import type { Proposal, ProposeOptions, SeamSet, SurfaceFacts } from '../proposing/index.js';
import { describeSurface, proposeSeams } from '../proposing/index.js';
import type { LoadedModel } from './load-model.js';
import type { Progress } from './progress.js';

/** A set with its finished sheet. */
export interface FinishedSet {
  readonly set: SeamSet;
  readonly layout: Layout;
  readonly measured: LayoutReport;
}

export interface FinishedProposal {
  readonly proposal: Proposal;
  readonly surface: SurfaceFacts;
  readonly sets: readonly FinishedSet[];
}

export interface JobOptions {
  readonly propose: ProposeOptions;
  readonly layout: LayoutOptions;
  readonly signal: AbortSignal;
}

/** Share of the bar that proposing takes; the rest is divided among the sets. */
const PROPOSING_SHARE = 0.6;

/** The whole job on one model: propose, flatten, arrange and measure. @throws NO_VALID_SET, CANCELLED */
export async function runJob(
  model: LoadedModel,
  options: JobOptions,
  progress: Progress,
): Promise<FinishedProposal> {
  const { signal } = options;
  const { mesh } = model;
  const proposal = await proposeSeams(mesh, {
    ...options.propose,
    signal,
    onProgress: (share, stage) => progress.update(PROPOSING_SHARE * share, stage),
  });
  const surface = describeSurface(mesh, options.propose);
  for (const conflict of proposal.conflicts) progress.warn(`${conflict.hint}: ${conflict.message}`);
  const { up, front } = options.propose;
  // Mirrored charts are laid out as mirror images, to the last digit.
  const mirror = proposal.mirror && findMirror(mesh, { up, front });
  const sets: FinishedSet[] = [];
  for (const [i, set] of proposal.sets.entries()) {
    const step = async (part: number, stage: string) => {
      const share = (i + part) / proposal.sets.length;
      progress.update(PROPOSING_SHARE + (1 - PROPOSING_SHARE) * share, `set ${i + 1}: ${stage}`);
      // A breath, so that an interrupt is noticed.
      await setImmediate();
      throwIfAborted(signal);
    };
    await step(0, 'flattening');
    const flat = flattenCharts(mesh, set, { mirror, lines: options.propose.hints?.pins });
    await step(0.4, 'packing');
    const layout = arrangeCharts(mesh, flat, { ...options.layout, signal });
    await step(0.8, 'measuring');
    const measured = measureLayout(mesh, layout.uvs, { resolution: layout.resolution });
    for (const note of layout.notes) progress.warn(`set ${i + 1}: ${note}`);
    sets.push({ set, layout, measured });
  }
  return { proposal, surface, sets };
}
