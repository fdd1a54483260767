import { LimitError, throwIfAborted } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { chooseSpread, describeTradeOff, findParetoFront, scoreSet } from '../ranking/index.js';
import { checkOptions } from './check-options.js';
import type { DescribedSet } from './describe-set.js';
import { describeSet } from './describe-set.js';
import { draftSeams } from './draft-seams.js';
import { placeCollars } from './place-collars.js';
import type { Conflict, Proposal, SeamSet } from './proposal.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';
import { nameSet, STRATEGIES } from './strategies.js';
import { studyMesh } from './study-mesh.js';

/**
 * Proposes ranked sets of seams. In every set each face lies in exactly one chart and every chart is a disk.
 *
 * @param mesh - from buildMesh; never changed
 * @returns sets best first, in the caller's own point and face indices
 * @throws OPTION_INVALID, HINT_INVALID, NO_VALID_SET, CANCELLED
 */
export async function proposeSeams(mesh: Mesh, options: ProposeOptions = {}): Promise<Proposal> {
  checkOptions(mesh, options);
  const report = async (share: number, stage: string) => {
    options.onProgress?.(share, stage);
    await breathe();
    throwIfAborted(options.signal);
  };
  await report(0, 'studying the surface');
  const study = studyMesh(mesh, options);
  const collars = placeCollars(study);
  const stretchLimit = options.stretchLimit ?? PROPOSE_DEFAULTS.stretchLimit;
  const avoidedCuts = new Set<number>();
  const drawn: { name: string; set: DescribedSet }[] = [];
  for (const [i, strategy] of STRATEGIES.entries()) {
    await report(0.3 + (0.6 * i) / STRATEGIES.length, `drawing seams: ${strategy.name}`);
    const draft = draftSeams(study, collars, strategy, stretchLimit, options.signal);
    const set = describeSet(study, draft);
    for (let e = 0; e < draft.isSeam.length; e++)
      if (draft.isSeam[e] && study.isAvoided[e]) avoidedCuts.add(e);
    drawn.push({ name: nameSet(strategy, new Set(set.seams.map((seam) => seam.role))), set });
  }
  await report(0.9, 'ranking');
  const sets = rankSets(drawn, options);
  options.onProgress?.(1, 'done');
  return {
    sets,
    repairs: mesh.repairs,
    mirror: study.mirror && { matchedShare: study.mirrorShare },
    conflicts: [...study.conflicts, ...avoidConflict(avoidedCuts.size)],
  };
}

/** Lets the caller's event loop run, so that progress shows and a signal can arrive. */
const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

function rankSets(drawn: readonly { name: string; set: DescribedSet }[], options: ProposeOptions): SeamSet[] {
  const valid = drawn.filter(({ set }) => set.charts.every((chart) => chart.topology.isDisk));
  const limit = options.chartLimit ?? Infinity;
  const within = valid.filter(({ set }) => set.charts.length <= limit);
  if (within.length === 0) {
    const fewest = Math.min(...valid.map(({ set }) => set.charts.length));
    throw new LimitError(
      'NO_VALID_SET',
      valid.length === 0
        ? 'proposeSeams: no choice of seams opens every chart to a disk; inspect the mesh for damage'
        : `proposeSeams: no set has ${limit} charts or fewer, the fewest is ${fewest}; raise chartLimit`,
      { chartLimit: limit },
    );
  }
  const front = findParetoFront(
    within.map(({ set }) => [set.criteria.pieces, set.criteria.stretch, set.criteria.exposure]),
  ).map((i) => within[i]!);
  const scores = front.map(({ set }) => scoreSet(set.criteria, options.criteria));
  const figures = front.map(({ set }) => [
    Math.log(set.criteria.pieces),
    Math.log(set.criteria.stretch + 0.05),
    set.criteria.exposure,
  ]);
  const scored = chooseSpread(scores, figures, options.sets ?? PROPOSE_DEFAULTS.sets).map((i) => ({
    ...front[i]!,
    score: scores[i]!,
  }));
  return scored.map(({ name, set, score }, i) => ({
    name,
    seams: set.seams,
    charts: set.charts,
    prediction: set.prediction,
    criteria: set.criteria,
    score,
    summary: summarise(name, set, i === 0 ? undefined : scored[0]!.set),
  }));
}

function summarise(name: string, set: DescribedSet, best: DescribedSet | undefined): string {
  const { pieces, stretch, exposure } = set.criteria;
  const own = `${name}: ${pieces} ${pieces === 1 ? 'piece' : 'pieces'}, predicted energy ${(4 + stretch).toFixed(2)}, seam in view ${exposure.toFixed(2)}`;
  return best ? `${own}; against the first: ${describeTradeOff(set.criteria, best.criteria)}` : own;
}

function avoidConflict(count: number): Conflict[] {
  if (count === 0) return [];
  return [
    {
      hint: 'avoid',
      message: `${count} edges to be avoided are cut in some set, because a hint to keep them or the need for disks weighs more`,
    },
  ];
}
