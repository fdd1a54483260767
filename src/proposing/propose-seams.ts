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
import type { ExposureWishes, SurfaceExposures } from './survey-exposures.js';
import { surveyMeshOn } from './survey-mesh.js';

/**
 * Proposes ranked sets of seams. In every set each face lies in exactly one chart and every chart is a disk.
 *
 * @param mesh - from buildMesh; never changed
 * @returns sets best first, in the caller's own point and face indices
 * @throws OPTION_INVALID, HINT_INVALID, NO_VALID_SET, CANCELLED
 */
export async function proposeSeams(mesh: Mesh, options: ProposeOptions = {}): Promise<Proposal> {
  const survey = async () => undefined;
  return proposeSeamsBy(mesh, options, survey, async (ground, report) => {
    const drawn: DrawnStrategy[] = [];
    for (const [i, { name }] of STRATEGIES.entries()) {
      await report(i / STRATEGIES.length, name);
      drawn.push(drawSet(ground, i, options.signal));
    }
    return drawn;
  });
}

/** What of a proposal can be worked out on other threads. */
export interface ProposalWorkers {
  readonly expose: (wishes: ExposureWishes) => Promise<SurfaceExposures>;
  /** Draws one strategy, by its place in the list. */
  readonly draw: (record: StudyRecord, strategy: number) => Promise<DrawnStrategy>;
}

/** As proposeSeams, with parts of the work done elsewhere, several at a time; the result is the same. */
export async function proposeSeamsOn(
  mesh: Mesh,
  options: ProposeOptions,
  { expose, draw }: ProposalWorkers,
): Promise<Proposal> {
  const survey = () => surveyMeshOn(mesh, options, expose);
  return proposeSeamsBy(mesh, options, survey, async (ground, report) => {
    const record = recordStudy(ground);
    await report(0, 'sets');
    const drawn: Promise<DrawnStrategy>[] = [];
    let count = 0;
    for (const i of DRAWING_ORDER) {
      drawn[i] = draw(record, i).then(async (each) => {
        count++;
        await report(count / STRATEGIES.length, STRATEGIES[i]!.name);
        return each;
      });
    }
    return Promise.all(drawn);
  });
}

/**
 * In what order strategies go to threads: those that share charts, which a thread remembers, come to the same one, and
 * two threads end at the same time. Measured on bodies of 13,000 to 250,000 quads.
 */
const DRAWING_ORDER = [0, 2, 1, 3, 5, 4] as const;

async function proposeSeamsBy(
  mesh: Mesh,
  options: ProposeOptions,
  survey: () => Promise<void>,
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
  await survey();
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
    mirror: study.mirror && { matchedShare: study.mirror.matchedShare },
    conflicts: [
      ...(study.isTurned ? [doubtFront('the model mirrors from front to back')] : []),
      ...(study.posture.heading < 0 ? [doubtFront('the head lies to the rear')] : []),
      ...study.conflicts,
      ...avoidConflict(avoidedCuts.size),
      ...stretchConflicts(sets, options.stretchLimit),
    ],
  };
}

/** Lets the caller's event loop run, so that progress shows and a signal can arrive. */
const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

const doubtFront = (why: string): Conflict => ({
  hint: 'front',
  message: `${why}; if it faces another way, give that`,
});

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
