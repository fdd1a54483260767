import type { SeamRole } from '../seams/index.js';
import type { Side } from './proposal.js';

const PURPOSES: Readonly<Record<SeamRole, string>> = {
  kept: 'kept because you asked for it',
  crease: 'follows a sharp edge between two surfaces',
  collar: 'closes round the joint, so that the piece comes away',
  handle: 'opens a handle that no flat sheet can have',
  opening: 'opens the piece so that it can lie flat',
  relief: 'lets go of stretch at its end',
};

/** A seam's reason in words; every number in it is the seam's own. */
export function explainSeam(
  role: SeamRole,
  part: string,
  side: Side,
  { length, exposure, saving }: { length: number; exposure: number; saving?: number },
): string {
  const where = side === 'centre' ? part : `${side} ${part}`;
  return `${PURPOSES[role]} (${where}, ${formatNumber(length)} long, ${hiddenness(exposure)}: ${Math.round(100 * exposure)} % exposed${saving === undefined ? '' : `, saves ${formatNumber(saving)} of energy`})`;
}

const formatNumber = (value: number): string => String(Number(value.toPrecision(3)));

function hiddenness(exposure: number): string {
  if (exposure < 0.25) return 'well hidden';
  if (exposure < 0.5) return 'mostly hidden';
  if (exposure < 0.75) return 'partly hidden';
  return 'in view';
}
