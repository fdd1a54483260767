import type { EdgeId } from '../mesh/index.js';
import { describeSet } from './describe-set.js';
import { draftSeams } from './draft-seams.js';
import type { DrawnSet } from './drop-sets.js';
import type { CollarTable } from './place-collars.js';
import { nameSet, STRATEGIES } from './strategies.js';
import type { Study } from './study-mesh.js';

/** All that drawing a set starts from. */
export interface DrawingGround {
  readonly study: Study;
  readonly collars: CollarTable;
  readonly stretchLimit: number;
}

/** What one strategy came to. */
export interface DrawnStrategy extends DrawnSet {
  /** Edges that are cut though they were to be avoided. */
  readonly avoidedCuts: readonly EdgeId[];
}

/** Draws and describes the set of one strategy, by its place in STRATEGIES. */
export function drawSet(
  { study, collars, stretchLimit }: DrawingGround,
  index: number,
  signal?: AbortSignal,
): DrawnStrategy {
  const strategy = STRATEGIES[index]!;
  const draft = draftSeams(study, collars, strategy, stretchLimit, signal);
  const set = describeSet(study, draft, strategy.worth);
  const avoidedCuts: EdgeId[] = [];
  for (let e = 0; e < draft.isSeam.length; e++)
    if (draft.isSeam[e] && study.isAvoided[e]) avoidedCuts.push(e);
  const roles = new Set(set.seams.map((seam) => seam.role));
  return { name: nameSet(strategy, roles, study.posture.isProne), set, avoidedCuts };
}
