import { throwIfAborted } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { checkOptions } from './check-options.js';
import type { DrawingGround, DrawnStrategy } from './draw-set.js';
import { drawSet } from './draw-set.js';
import { placeCollars } from './place-collars.js';
import type { Conflict, Proposal, SeamSet } from './proposal.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';
import { rankSets } from './rank-sets.js';
import { STRATEGIES } from './strategies.js';
import { studyMesh } from './study-mesh.js';
import type { StudyRecord } from './study-record.js';
import { recordStudy } from './study-record.js';

/**
 * Proposes ranked sets of seams. In every set each face lies in exactly one chart and every chart is a disk.
 *
 * @param mesh - from buildMesh; never changed
 * @returns sets best first, in the caller's own point and face indices
 * @throws OPTION_INVALID, HINT_INVALID, NO_VALID_SET, CANCELLED
 */
export async function proposeSeams(mesh: Mesh, options: ProposeOptions = {}): Promise<Proposal> {
  return proposeSeamsBy(mesh, options, async (ground, report) => {
    const drawn: DrawnStrategy[] = [];
    for (const [i, { name }] of STRATEGIES.entries()) {
      await report(i / STRATEGIES.length, name);
      drawn.push(drawSet(ground, i, options.signal));
    }
    return drawn;
  });
}

/** Draws one strategy on another thread, by its place in the list. */
export type StrategyDrawer = (record: StudyRecord, strategy: number) => Promise<DrawnStrategy>;

/** As proposeSeams, with the sets drawn elsewhere, several at a time; the result is the same. */
export async function proposeSeamsOn(
  mesh: Mesh,
  options: ProposeOptions,
  draw: StrategyDrawer,
): Promise<Proposal> {
  return proposeSeamsBy(mesh, options, async (ground, report) => {
    const record = recordStudy(ground);
    await report(0, 'sets');
    let count = 0;
    return Promise.all(
      STRATEGIES.map(async ({ name }, i) => {
        const drawn = await draw(record, i);
        count++;
        await report(count / STRATEGIES.length, name);
        return drawn;
      }),
    );
  });
}

async function proposeSeamsBy(
  mesh: Mesh,
  options: ProposeOptions,
  drawAll: (
    ground: DrawingGround,
    report: (share: number, name: string) => Promise<void>,
  ) => Promise<readonly DrawnStrategy[]>,
): Promise<Proposal> {
  checkOptions(mesh, options);
  const report = async (share: number, stage: string) => {
    options.onProgress?.(share, stage);
    await breathe();
    throwIfAborted(options.signal);
  };
  await report(0, 'studying the surface');
  const study = studyMesh(mesh, options);
  const stretchLimit = options.stretchLimit ?? PROPOSE_DEFAULTS.stretchLimit;
  const ground: DrawingGround = { study, collars: placeCollars(study), stretchLimit };
  const drawn = await drawAll(ground, (share, name) => report(0.3 + 0.6 * share, `drawing seams: ${name}`));
  const avoidedCuts = new Set(drawn.flatMap((each) => each.avoidedCuts));
  await report(0.9, 'ranking');
  const { sets, dropped } = rankSets(drawn, options);
  options.onProgress?.(1, 'done');
  return {
    sets,
    dropped,
    repairs: mesh.repairs,
    mirror: study.mirror && { matchedShare: study.mirrorShare },
    conflicts: [
      ...(study.isTurned ? [TURNED] : []),
      ...study.conflicts,
      ...avoidConflict(avoidedCuts.size),
      ...stretchConflicts(sets, options.stretchLimit),
    ],
  };
}

/** Lets the caller's event loop run, so that progress shows and a signal can arrive. */
const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

const TURNED: Conflict = {
  hint: 'front',
  message:
    'the model is its own mirror image from front to back, not from left to right; if it faces along another axis, give that as front',
};

function avoidConflict(count: number): Conflict[] {
  if (count === 0) return [];
  return [
    {
      hint: 'avoid',
      message: `${count === 1 ? '1 edge to be avoided is' : `${count} edges to be avoided are`} cut in some set, because a hint to keep them or the need for disks weighs more`,
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
