import { InvalidOptionError } from '../errors.js';
import type { Vec3 } from '../math/index.js';
import { cross, dot, length } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { requireMesh } from '../mesh/index.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';

/** Throws OPTION_INVALID or HINT_INVALID on what cannot be worked with. */
export function checkOptions(mesh: Mesh, options: ProposeOptions): void {
  requireMesh(mesh, 'proposeSeams');
  const up = options.up ?? PROPOSE_DEFAULTS.up;
  const front = options.front ?? PROPOSE_DEFAULTS.front;
  checkDirection('up', up);
  checkDirection('front', front);
  if (length(cross(up, front)) < 1e-3 * Math.sqrt(dot(up, up) * dot(front, front))) {
    fail('front', front, 'a direction that is not along up');
  }
  const { sets, stretchLimit, chartLimit, hints } = options;
  if (sets !== undefined && !(Number.isInteger(sets) && sets >= 1 && sets <= 8))
    fail('sets', sets, 'a whole number from 1 to 8');
  if (stretchLimit !== undefined && !(stretchLimit > 4))
    fail('stretchLimit', stretchLimit, 'a number above 4');
  if (chartLimit !== undefined && !(chartLimit >= 1))
    fail('chartLimit', chartLimit, 'a number of at least 1');
  if (!hints) return;
  if (hints.paint !== undefined) {
    if (hints.paint.length !== mesh.faceCount)
      failHint('paint', `${hints.paint.length} numbers`, `one per face, ${mesh.faceCount}`);
    for (let f = 0; f < mesh.faceCount; f++) {
      const value = hints.paint[f]!;
      if (!(value >= 0 && value <= 1)) failHint(`paint[${f}]`, value, 'a number from 0 to 1');
    }
  }
  if (hints.existingUvs !== undefined && hints.existingUvs.length !== 2 * mesh.cornerCount) {
    failHint('existingUvs', `${hints.existingUvs.length} numbers`, `two per corner, ${2 * mesh.cornerCount}`);
  }
  const { hardEdgeAngle } = hints;
  if (hardEdgeAngle !== undefined && !(hardEdgeAngle >= 0 && hardEdgeAngle <= 180))
    failHint('hardEdgeAngle', hardEdgeAngle, 'degrees from 0 to 180');
  hints.pins?.forEach((chain, i) => {
    for (const p of chain)
      if (!Number.isInteger(p) || p < 0 || p >= mesh.pointCount)
        failHint(`pins[${i}]`, `point ${p}`, `points from 0 to ${mesh.pointCount - 1}`);
  });
  for (const name of ['avoidFaces', 'coveredFaces'] as const) checkFaces(mesh, name, hints[name]);
  checkFaces(mesh, 'settled.faces', hints.settled?.faces);
  hints.faceGroups?.forEach((group, i) => {
    checkFaces(mesh, `faceGroups[${i}]`, group);
  });
}

function checkDirection(name: string, direction: Vec3): void {
  if (direction.length !== 3 || !direction.every(Number.isFinite) || length(direction) === 0) {
    fail(name, direction, 'three finite numbers, not all 0');
  }
}

function checkFaces(mesh: Mesh, name: string, faces: readonly number[] | undefined): void {
  for (const f of faces ?? []) {
    if (!Number.isInteger(f) || f < 0 || f >= mesh.faceCount)
      failHint(name, `face ${f}`, `faces from 0 to ${mesh.faceCount - 1}`);
  }
}

function fail(name: string, got: unknown, expected: string): never {
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `proposeSeams: option ${name} is invalid, got ${String(got)}, expected ${expected}`,
    { option: name },
  );
}

function failHint(name: string, got: unknown, expected: string): never {
  throw new InvalidOptionError(
    'HINT_INVALID',
    `proposeSeams: hint ${name} is invalid, got ${String(got)}, expected ${expected}`,
    { hint: name },
  );
}
