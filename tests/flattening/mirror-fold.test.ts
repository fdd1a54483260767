import { describe, expect, it } from 'vitest';
import { EnergySystem } from '../../src/flattening/energy-system.js';
import { MirrorFold } from '../../src/flattening/mirror-fold.js';
import { buildRestTriangles } from '../../src/flattening/rest-triangles.js';
import type { SymmetricMatrix } from '../../src/linalg/index.js';
import { seededRandom } from '../../src/testing/seeded-random.js';
import { chartOf } from './chart-of.js';
import { gridChart } from './random-charts.js';

const ROWS = 3;

/** A sheet of squares, mirrored in x = 0: with an odd number of columns the middle ones cross the axis. */
function makeSheet(columns: number) {
  const surface = chartOf(gridChart(columns, ROWS, (u, v) => [2 * u - 1, 1.5 * v, 0]));
  const p = surface.positions;
  const find = (x: number, y: number) => {
    for (let v = 0; v < surface.vertexCount; v++)
      if (Math.hypot(p[3 * v]! - x, p[3 * v + 1]! - y) < 1e-9) return v;
    throw new Error(`no vertex at ${x}, ${y}`);
  };
  const partners = Int32Array.from({ length: surface.vertexCount }, (_, v) =>
    find(-p[3 * v]!, p[3 * v + 1]!),
  );
  const random = seededRandom(5);
  const uvs = Float64Array.from(
    { length: 2 * surface.vertexCount },
    (_, i) => p[3 * (i >> 1) + (i % 2)]! + 0.02 * random.next(),
  );
  return { surface, partners, uvs };
}

function toDense({ size, columnOffsets, entryRows, values }: SymmetricMatrix): Float64Array[] {
  const dense = Array.from({ length: size }, () => new Float64Array(size));
  for (let j = 0; j < size; j++)
    for (let p = columnOffsets[j]!; p < columnOffsets[j + 1]!; p++) {
      dense[entryRows[p]!]![j] = values[p]!;
      dense[j]![entryRows[p]!] = values[p]!;
    }
  return dense;
}

/** How all unknowns follow from the folded ones, as a dense matrix. */
const spread = (fold: MirrorFold, vertexCount: number): Float64Array[] =>
  Array.from({ length: 2 * vertexCount }, (_, i) => {
    const row = new Float64Array(2 * fold.size);
    row[2 * fold.slots[i >> 1]! + (i % 2)] = i % 2 === 0 ? fold.signs[i >> 1]! : 1;
    return row;
  });

/** spreadᵀ · full · spread */
const condense = (full: readonly Float64Array[], by: readonly Float64Array[], a: number, b: number): number =>
  full.reduce(
    (sum, row, i) =>
      by[i]![a] === 0 ? sum : sum + by[i]![a]! * row.reduce((s, x, j) => s + x * by[j]![b]!, 0),
    0,
  );

describe('a folded chart', () => {
  it.each([4, 5])('has the Hessian and gradient of symmetric motions, %i columns', (columns) => {
    const { surface, partners, uvs } = makeSheet(columns);
    const rest = buildRestTriangles(surface);
    const plain = new MirrorFold(rest.vertexCount);
    const fold = new MirrorFold(rest.vertexCount, partners);
    const onAxis = partners.filter((p, v) => p === v).length;
    expect(fold.size).toBe((rest.vertexCount + onAxis) / 2);
    expect(fold.isHeld.reduce((sum, x) => sum + x, 0)).toBe(onAxis);

    // Sides and vertices that press: far apart, beside one another, and the two ends of a row.
    const triples = Int32Array.of(0, columns, columns - 1, 0, 1, 2, columns, 0, 1);
    const random = seededRandom(9);
    const part = Float64Array.from({ length: 6 }, () => random.next());
    const dense = Float64Array.from({ length: 36 }, (_, i) => part[Math.floor(i / 6)]! * part[i % 6]!);
    const pairs = Int32Array.from([0, 1, 0, 2, 1, 2].map((i) => triples[i]!));
    const systems = [plain, fold].map((each) => new EnergySystem(rest, each, pairs));
    for (const system of systems) {
      system.assemble(uvs, 'newton');
      for (let k = 0; k < triples.length; k += 3)
        if ([0, 1, 2].every((i) => system.joins(triples[k]!, triples[k + i]!)))
          system.addTriple(triples.subarray(k, k + 3), part, dense);
    }
    const [full, half] = systems.map(({ matrix }) => toDense(matrix)) as [Float64Array[], Float64Array[]];
    const by = spread(fold, rest.vertexCount);
    for (let a = 0; a < 2 * fold.size; a++)
      for (let b = 0; b <= a; b++) expect(half[a]![b]).toBeCloseTo(condense(full, by, a, b), 9);

    const folded = fold.fold(systems[1]!.gradient);
    folded.forEach((x, a) => {
      expect(x).toBeCloseTo(
        systems[0]!.gradient.reduce((sum, g, i) => sum + g * by[i]![a]!, 0),
        9,
      );
    });
    const motion = Float64Array.from({ length: 2 * fold.size }, () => random.next());
    fold.unfold(motion).forEach((x, i) => {
      expect(x).toBeCloseTo(
        by[i]!.reduce((sum, s, a) => sum + s * motion[a]!, 0),
        12,
      );
    });
  });
});
