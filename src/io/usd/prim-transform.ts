import type { Matrix4 } from '../matrices.js';
import { IDENTITY, invertAffine, isUsable, multiply } from '../matrices.js';
import type { UsdaPrim } from './parse-usda.js';
import type { UsdaScanner } from './usda-scanner.js';
import { readNumbers } from './usda-scanner.js';

/** Whether the prim starts from the stage's origin, and its own transform. */
export interface PrimTransform {
  readonly matrix: Matrix4;
  readonly resetsStack: boolean;
}

/**
 * The prim's own transform from its `xformOpOrder` (OpenUSD, UsdGeomXformable): the first operation listed is
 * the outermost. Rows of a `matrix4d` act on row vectors, so its numbers in order are a column-major matrix
 * that acts on column vectors.
 *
 * @throws FORMAT_INVALID
 */
export function primTransform(prim: UsdaPrim, scanner: UsdaScanner): PrimTransform {
  const order = prim.properties.get('xformOpOrder')?.value;
  if (!order) return { matrix: IDENTITY, resetsStack: false };
  const text = new TextDecoder().decode(scanner.bytes.subarray(order.start, order.end));
  let matrix = IDENTITY;
  let resetsStack = false;
  for (const [, name] of text.matchAll(/["']([^"']*)["']/g)) {
    if (name === '!resetXformStack!') {
      resetsStack = true;
      matrix = IDENTITY;
      continue;
    }
    const isInverse = name!.startsWith('!invert!');
    const operation = readOperation(prim, scanner, isInverse ? name!.slice('!invert!'.length) : name!);
    matrix = multiply(matrix, isInverse ? invertAffine(operation) : operation);
  }
  return { matrix: isUsable(matrix) ? matrix : IDENTITY, resetsStack };
}

function readOperation(prim: UsdaPrim, scanner: UsdaScanner, name: string): Matrix4 {
  const value = prim.properties.get(name)?.value;
  if (!value) return IDENTITY;
  const numbers: number[] = [];
  readNumbers(scanner, value.start, value.end, numbers);
  const kind = name.split(':')[1] ?? '';
  const [x = 0, y = 0, z = 0, w = 0] = numbers;
  if (kind === 'transform' && numbers.length === 16) return numbers;
  if (kind === 'translate' && numbers.length === 3) return [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, x, y, z, 1];
  if (kind === 'scale' && numbers.length === 3) return [x, 0, 0, 0, 0, y, 0, 0, 0, 0, z, 0, 0, 0, 0, 1];
  if (kind === 'orient' && numbers.length === 4) return rotationFromQuaternion(x, y, z, w);
  const axes = /^rotate([XYZ]+)$/.exec(kind)?.[1];
  if (axes?.length === 1 && numbers.length === 1) return axisRotation(axes, x);
  if (axes?.length === 3 && numbers.length === 3) {
    // The axes are named in the order in which they are applied.
    return [...axes].reduce<Matrix4>(
      (matrix, axis) => multiply(axisRotation(axis, numbers['XYZ'.indexOf(axis)]!), matrix),
      IDENTITY,
    );
  }
  throw scanner.error(value.start, `unknown transform ${name.slice(0, 40)} of ${numbers.length} numbers`);
}

/** OpenUSD lists the real part of a quaternion first. */
function rotationFromQuaternion(w: number, x: number, y: number, z: number): Matrix4 {
  const s = 2 / (w * w + x * x + y * y + z * z);
  return [
    1 - s * (y * y + z * z),
    s * (x * y + z * w),
    s * (x * z - y * w),
    0,
    s * (x * y - z * w),
    1 - s * (x * x + z * z),
    s * (y * z + x * w),
    0,
    s * (x * z + y * w),
    s * (y * z - x * w),
    1 - s * (x * x + y * y),
    0,
    0,
    0,
    0,
    1,
  ];
}

function axisRotation(axis: string, degrees: number): Matrix4 {
  const angle = (degrees * Math.PI) / 180;
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  if (axis === 'X') return [1, 0, 0, 0, 0, c, s, 0, 0, -s, c, 0, 0, 0, 0, 1];
  if (axis === 'Y') return [c, 0, -s, 0, 0, 1, 0, 0, s, 0, c, 0, 0, 0, 0, 1];
  return [c, s, 0, 0, -s, c, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];
}
