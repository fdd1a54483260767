import type { DensityWeights, LayoutOptions, LockedCharts } from '../layout/index.js';
import type { Mesh } from '../mesh/index.js';
import { invalidParams, readNumbers } from './number-arrays.js';
import { readUvs } from './open-mesh-job.js';

type Params = Readonly<Record<string, unknown>>;

/** The options of a sheet as the client gave them, for the library. @throws invalidParams */
export function readArrangeOptions(params: Params, mesh: Mesh, chartCount: number): LayoutOptions {
  const { flat: _flat, weights, locked, ...options } = params;
  return {
    ...(options as LayoutOptions),
    ...(weights !== undefined && { weights: readWeights(weights as Params, mesh.faceCount, chartCount) }),
    ...(locked !== undefined && { locked: readLocked(locked as Params, mesh.cornerCount, chartCount) }),
  };
}

function readWeights(
  { parts, charts, faces }: Params,
  faceCount: number,
  chartCount: number,
): DensityWeights {
  for (const [name, weight] of Object.entries(parts ?? {})) checkWeight(`weights.parts.${name}`, weight);
  return {
    ...(parts !== undefined && { parts: parts as NonNullable<DensityWeights['parts']> }),
    ...(charts !== undefined && { charts: readFactors(charts, 'weights.charts', chartCount) }),
    ...(faces !== undefined && { faces: readFactors(faces, 'weights.faces', faceCount) }),
  };
}

function readFactors(value: unknown, path: string, count: number): Float64Array {
  const factors = readNumbers(value, path, { kind: 'float64' });
  if (factors.length !== count) throw invalidParams(path, `${factors.length} numbers`, `${count}`);
  factors.forEach((factor, i) => {
    checkWeight(`${path}[${i}]`, factor);
  });
  return factors;
}

function checkWeight(path: string, weight: number): void {
  if (!(weight > 0)) throw invalidParams(path, weight, 'a number above 0');
}

function readLocked(locked: Params, cornerCount: number, chartCount: number): LockedCharts {
  const charts = readNumbers(locked.charts, 'locked.charts', { kind: 'int32', least: 0 });
  charts.forEach((chart, i) => {
    if (chart >= chartCount)
      throw invalidParams(`locked.charts[${i}]`, chart, `a number from 0 to ${chartCount - 1}`);
  });
  return { charts: Array.from(charts), uvs: readUvs(locked.uvs, cornerCount, 'locked.uvs') };
}
