import { InvalidOptionError } from '../errors.js';
import type { Mesh } from '../mesh/index.js';
import { computeFaceGeometry } from '../mesh/index.js';
import type { FlatChartLike } from './flat-chart.js';
import type { DensityWeights } from './layout-options.js';

/** Linear factor of each chart on the even texel density. @throws OPTION_INVALID for a weight not above 0 */
export function findChartWeights(
  mesh: Mesh,
  charts: readonly FlatChartLike[],
  weights: DensityWeights,
): Float64Array {
  const factors = new Float64Array(charts.length).fill(1);
  const check = (name: string, value: number) => {
    if (value > 0 && Number.isFinite(value)) return value;
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `arrangeCharts: bad density weight of ${name}, got ${value}, expected a number above 0`,
      { weight: value },
    );
  };
  if (weights.parts) {
    charts.forEach(({ part }, i) => {
      const weight = part === undefined ? undefined : weights.parts![part];
      if (weight !== undefined) factors[i]! *= check(`part ${part}`, weight);
    });
  }
  if (weights.charts) {
    checkLength('charts', weights.charts.length, charts.length);
    for (let i = 0; i < charts.length; i++) factors[i]! *= check(`chart ${i}`, weights.charts[i]!);
  }
  if (weights.faces) {
    checkLength('faces', weights.faces.length, mesh.faceCount);
    const { faceAreas } = computeFaceGeometry(mesh);
    charts.forEach(({ faces }, i) => {
      let area = 0;
      let sum = 0;
      for (let k = 0; k < faces.length; k++) {
        const f = faces[k]!;
        area += faceAreas[f]!;
        sum += faceAreas[f]! * check(`face ${f}`, weights.faces![f]!);
      }
      if (area > 0) factors[i]! *= sum / area;
    });
  }
  return factors;
}

function checkLength(name: string, got: number, expected: number): void {
  if (got !== expected)
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `arrangeCharts: bad weights.${name}, got ${got} numbers, expected ${expected}`,
      { got, expected },
    );
}
