import { throwIfAborted } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { checkOptions } from './check-options.js';
import { describeSet } from './describe-set.js';
import { draftSeams } from './draft-seams.js';
import { placeCollars } from './place-collars.js';
import type { Conflict, Proposal, SeamSet } from './proposal.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';
import type { DrawnSet } from './rank-sets.js';
import { rankSets } from './rank-sets.js';
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
  const drawn: DrawnSet[] = [];
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
    conflicts: [
      ...study.conflicts,
      ...avoidConflict(avoidedCuts.size),
      ...stretchConflicts(sets, options.stretchLimit),
    ],
  };
}

/** Lets the caller's event loop run, so that progress shows and a signal can arrive. */
const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

function avoidConflict(count: number): Conflict[] {
  if (count === 0) return [];
  return [
    {
      hint: 'avoid',
      message: `${count} edges to be avoided are cut in some set, because a hint to keep them or the need for disks weighs more`,
    },
  ];
}

/** What stays over a limit that the caller gave. */
function stretchConflicts(sets: readonly SeamSet[], limit = Infinity): Conflict[] {
  return sets.flatMap(({ name, charts }) => {
    const over = charts.flatMap(({ prediction, part }, i) =>
      prediction.energy > limit ? [`${i} (${part}, ${prediction.energy.toFixed(2)})`] : [],
    );
    if (over.length === 0) return [];
    const list = `${over.length === 1 ? 'chart' : 'charts'} ${over.join(', ')}`;
    return [
      {
        hint: 'stretchLimit',
        message: `${name}: ${list} will stretch beyond ${limit}; no further cut helps, or hints weigh more`,
      },
    ];
  });
}
