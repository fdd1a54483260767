import type { DrawingGround } from './draw-set.js';
import type { Study } from './study-mesh.js';
import type { SurveyFacts } from './survey-mesh.js';
import { equipSurvey } from './survey-mesh.js';

/** A drawing ground as plain data, which can go to another thread; what it remembers stays behind. */
export interface StudyRecord extends Omit<DrawingGround, 'study'> {
  readonly facts: SurveyFacts;
  readonly wishes: Pick<Study, 'kept' | 'isAvoided' | 'conflicts'>;
  readonly edgeCosts: Float64Array;
}

export function recordStudy({ study, ...rest }: DrawingGround): StudyRecord {
  const {
    ground,
    kept,
    isAvoided,
    conflicts,
    predictor,
    savings,
    frames,
    memory,
    reliefFinder,
    bands,
    ...facts
  } = study;
  return { ...rest, facts, wishes: { kept, isAvoided, conflicts }, edgeCosts: ground.edgeCosts };
}

export function recallStudy({ facts, wishes, edgeCosts, ...rest }: StudyRecord): DrawingGround {
  const survey = equipSurvey(facts);
  const { mesh, mirror, cornerAngles, frames, memory } = survey;
  const ground = { mesh, mirror, edgeCosts, cornerAngles, frames, memory };
  return { ...rest, study: { ...survey, ...wishes, ground } };
}
