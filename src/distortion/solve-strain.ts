import { SeamwrightError } from '../errors.js';
import type { SymmetricMatrix } from '../linalg/index.js';
import { analyse, LdlSolver } from '../linalg/index.js';

/** Measured: analysing vertices with their sides as one beats the zeros it stores. */
const GROUP_SHARE = 0;
/** Shares by which the diagonal is raised, one after the other, where rounding eats a pivot, as on needles. */
const RAISES = [0, 1e-8, 1e-5, 1e-2] as const;

/**
 * Factors the system of a chart's strain, numbered in the order of elimination.
 *
 * @param groups - what is eliminated together has one number
 */
export function factorStrain(matrix: SymmetricMatrix, groups: Int32Array): LdlSolver {
  const symbolic = analyse(matrix, { groups, groupShare: GROUP_SHARE, ordering: 'as-numbered' });
  return factorRaised(new LdlSolver(symbolic), matrix, 0);
}

function factorRaised(solver: LdlSolver, matrix: SymmetricMatrix, attempt: number): LdlSolver {
  const values = matrix.values.slice();
  for (let j = 0; j < matrix.size; j++) values[matrix.columnOffsets[j]!]! *= 1 + RAISES[attempt]!;
  try {
    return solver.factor(values);
  } catch (error) {
    if (!(error instanceof SeamwrightError) || attempt + 1 === RAISES.length) throw error;
    return factorRaised(solver, matrix, attempt + 1);
  }
}
