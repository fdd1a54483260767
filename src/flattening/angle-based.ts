import { analyse, assembleSymmetric, LdlSolver } from '../linalg/index.js';
import type { ChartSurface } from '../mesh/index.js';
import { buildBlockPattern } from './block-pattern.js';
import { flattenLscm } from './conformal.js';
import { coreTriangles } from './core-triangles.js';
import { measureCorners } from './cotangents.js';
import type { RestTriangles } from './rest-triangles.js';

/** Most rounds of linearising the conditions, and the greatest violation of them that ends the rounds, radians. */
const ROUNDS = 12;
const VIOLATION = 1e-9;
/** No angle becomes less than this share of what it was before the round. */
const ANGLE_SHARE = 0.2;

/**
 * Angle-based flattening (Sheffer & de Sturler 2001): the angles nearest to those in space, relative to their
 * size, that close every triangle, every vertex and every wheel; the conditions linearised anew each round
 * (Zayer et al. 2007 do one) and the few unknowns per triangle eliminated as in ABF++ (Sheffer et al. 2005).
 * The map is laid out from the angles by least squares. May overlap.
 */
export function flattenAngleBased(
  rest: RestTriangles,
  surface: ChartSurface,
): { uvs: Float64Array; violation: number } {
  const core = coreTriangles(rest);
  const target = idealAngles(core, surface.borderLoops[0]!);
  const angles = target.slice();
  const wheels = collectWheels(core, surface);
  let violation = Infinity;
  for (let round = 0; round < ROUNDS; round++) {
    const conditions = lineariseConditions(core, wheels, angles);
    violation = conditions.residuals.reduce((most, r) => Math.max(most, Math.abs(r)), 0);
    if (violation <= VIOLATION) break;
    stepTowards(angles, target, conditions);
  }
  const shaped = shapeByAngles(core, angles);
  return { uvs: flattenLscm(shaped, buildBlockPattern(shaped), surface), violation };
}

/** Angles at rest, those round each inner vertex scaled to a full turn. */
function idealAngles(core: RestTriangles, border: Int32Array): Float64Array {
  const { angles } = measureCorners(core);
  const sums = new Float64Array(core.vertexCount);
  for (let c = 0; c < angles.length; c++) sums[core.triangleVertices[c]!]! += angles[c]!;
  for (const v of border) sums[v] = 2 * Math.PI;
  return angles.map((angle, c) => (angle * 2 * Math.PI) / sums[core.triangleVertices[c]!]!);
}

interface Wheels {
  /** Condition index of each inner vertex among the vertices, -1 on the border. */
  readonly vertexIndex: Int32Array;
  readonly count: number;
}

function collectWheels(core: RestTriangles, surface: ChartSurface): Wheels {
  const vertexIndex = new Int32Array(core.vertexCount);
  for (const v of surface.borderLoops[0]!) vertexIndex[v] = -1;
  let count = 0;
  for (let v = 0; v < core.vertexCount; v++) if (vertexIndex[v] === 0) vertexIndex[v] = count++;
  return { vertexIndex, count };
}

interface Conditions {
  /** Rows of the Jacobian as (corner, value) lists: triangles, then vertex sums, then wheels. */
  readonly rows: readonly { readonly corners: number[]; readonly values: number[] }[];
  readonly residuals: Float64Array;
}

/** Triangle: Σ α = π. Vertex: Σ α = 2π. Wheel: Σ log sin(next) − log sin(previous) = 0. */
function lineariseConditions(core: RestTriangles, wheels: Wheels, angles: Float64Array): Conditions {
  const { triangleCount, triangleVertices } = core;
  const rowCount = triangleCount + 2 * wheels.count;
  const rows = Array.from({ length: rowCount }, () => ({ corners: [] as number[], values: [] as number[] }));
  const residuals = new Float64Array(rowCount);
  const put = (row: number, corner: number, value: number, residual: number) => {
    rows[row]!.corners.push(corner);
    rows[row]!.values.push(value);
    residuals[row]! += residual;
  };
  for (let row = 0; row < triangleCount; row++) residuals[row] = -Math.PI;
  for (let i = 0; i < wheels.count; i++) residuals[triangleCount + i] = -2 * Math.PI;
  for (let t = 0; t < triangleCount; t++) {
    for (let k = 0; k < 3; k++) {
      const corner = 3 * t + k;
      put(t, corner, 1, angles[corner]!);
      const inner = wheels.vertexIndex[triangleVertices[corner]!]!;
      if (inner < 0) continue;
      put(triangleCount + inner, corner, 1, angles[corner]!);
      const wheel = triangleCount + wheels.count + inner;
      const next = 3 * t + ((k + 1) % 3);
      const previous = 3 * t + ((k + 2) % 3);
      put(wheel, next, 1 / Math.tan(angles[next]!), Math.log(Math.sin(angles[next]!)));
      put(wheel, previous, -1 / Math.tan(angles[previous]!), -Math.log(Math.sin(angles[previous]!)));
    }
  }
  return { rows, residuals };
}

/**
 * One step of the quadratic problem min Σ ((α − target)/target)² under the linear conditions: with J the
 * Jacobian and D = target², (J D Jᵀ) λ = r + J (target − α) and α ← target − D Jᵀ λ.
 */
function stepTowards(angles: Float64Array, target: Float64Array, { rows, residuals }: Conditions): void {
  const cornerRows: { row: number; value: number }[][] = Array.from({ length: angles.length }, () => []);
  const right = residuals.slice();
  rows.forEach(({ corners, values }, row) => {
    corners.forEach((corner, i) => {
      cornerRows[corner]!.push({ row, value: values[i]! });
      right[row]! += values[i]! * (target[corner]! - angles[corner]!);
    });
  });
  const matrixRows: number[] = [];
  const matrixColumns: number[] = [];
  const matrixValues: number[] = [];
  cornerRows.forEach((entries, corner) => {
    const weight = target[corner]! ** 2;
    for (let i = 0; i < entries.length; i++) {
      for (let j = 0; j <= i; j++) {
        const a = entries[i]!;
        const b = entries[j]!;
        matrixRows.push(a.row);
        matrixColumns.push(b.row);
        // Two different entries of one row meet on the diagonal twice.
        matrixValues.push(weight * a.value * b.value * (i !== j && a.row === b.row ? 2 : 1));
      }
    }
  });
  const matrix = assembleSymmetric(rows.length, matrixRows, matrixColumns, matrixValues);
  for (let j = 0; j < matrix.size; j++) matrix.values[matrix.columnOffsets[j]!]! *= 1 + 1e-12;
  const multipliers = new LdlSolver(analyse(matrix)).factor(matrix.values).solve(right);
  let step = 1;
  const next = target.slice();
  cornerRows.forEach((entries, corner) => {
    for (const { row, value } of entries) next[corner]! -= target[corner]! ** 2 * value * multipliers[row]!;
    const change = next[corner]! - angles[corner]!;
    const room = (1 - ANGLE_SHARE) * angles[corner]!;
    const headroom = (1 - ANGLE_SHARE) * (Math.PI - angles[corner]!);
    if (change < 0) step = Math.min(step, room / -change);
    else if (change > 0) step = Math.min(step, headroom / change);
  });
  for (let c = 0; c < angles.length; c++) angles[c]! += step * (next[c]! - angles[c]!);
}

/** The core triangles with the shapes of the angles, each as large as it was. */
function shapeByAngles(core: RestTriangles, angles: Float64Array): RestTriangles {
  const inverses = new Float64Array(core.inverses.length);
  for (let t = 0; t < core.triangleCount; t++) {
    const a = angles[3 * t]!;
    const b = angles[3 * t + 1]!;
    // Base over height is cot a + cot b; the area stays.
    const ratio = Math.sin(a + b) / (Math.sin(a) * Math.sin(b));
    const area = 1 / (core.inverses[3 * t]! * core.inverses[3 * t + 2]!);
    const height = Math.sqrt(area / ratio);
    const base = ratio * height;
    const foot = (height * Math.cos(a)) / Math.sin(a);
    inverses[3 * t] = 1 / base;
    inverses[3 * t + 1] = -foot / (base * height);
    inverses[3 * t + 2] = 1 / height;
  }
  return { ...core, inverses };
}
