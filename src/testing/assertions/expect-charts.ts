import type { Mesh, SeamEdges } from '../../mesh/index.js';
import { cutMesh, measureChartTopology, seamMask } from '../../mesh/index.js';
import { MeshAssertionError } from './assertion-error.js';
import type { MeshLike } from './mesh-like.js';
import { asMesh } from './mesh-like.js';

/** Seams by the caller's point indices, as a proposed set has them. */
export interface SeamsLike {
  readonly seams: readonly SeamEdges[];
}

/** Charts by the caller's face indices. */
export interface ChartsLike {
  readonly charts: readonly { readonly faces: ArrayLike<number> }[];
}

/**
 * Asserts that cutting along the seams leaves disks only: every chart has one border loop and V − E + F = 1.
 *
 * @throws an AssertionError that names the first chart that is none
 */
export function expectDiskCharts(mesh: MeshLike, set: SeamsLike): void {
  const built = asMesh(mesh);
  const cut = cutMesh(built, seamMask(built, set.seams));
  const charts = measureChartTopology(cut);
  const bad = charts.findIndex(({ isDisk }) => !isDisk);
  if (bad < 0) return;
  const { faceCount, borderLoops, eulerCharacteristic } = charts[bad]!;
  const count = charts.filter(({ isDisk }) => !isDisk).length;
  throw new MeshAssertionError(
    'expectDiskCharts',
    `${count} of ${charts.length} charts are no disks; chart ${bad} (${faceCount} faces, first face ${cut.faceCharts.indexOf(bad)}) has ${borderLoops} border loops and Euler characteristic ${eulerCharacteristic}, expected 1 and 1`,
    { borderLoops, eulerCharacteristic },
    { borderLoops: 1, eulerCharacteristic: 1 },
  );
}

/**
 * Asserts that every face lies in exactly one chart, and, when the set has seams, that the charts are
 * those that the seams leave.
 */
export function expectCovering(mesh: MeshLike, set: ChartsLike & Partial<SeamsLike>): void {
  const faceCount = 'twin' in mesh ? mesh.faceCount : mesh.faceVertexCounts.length;
  const faceCharts = new Int32Array(faceCount).fill(-1);
  set.charts.forEach(({ faces }, chart) => {
    for (let i = 0; i < faces.length; i++) {
      const face = faces[i]!;
      if (!(Number.isInteger(face) && face >= 0 && face < faceCount)) {
        throw new MeshAssertionError(
          'expectCovering',
          `chart ${chart} names face ${face}, expected 0 to ${faceCount - 1}`,
          face,
          faceCount - 1,
        );
      }
      if (faceCharts[face] !== -1) {
        throw new MeshAssertionError(
          'expectCovering',
          `face ${face} lies in charts ${faceCharts[face]} and ${chart}, expected one`,
          [faceCharts[face], chart],
          [chart],
        );
      }
      faceCharts[face] = chart;
    }
  });
  const missed = faceCharts.indexOf(-1);
  if (missed >= 0) {
    const count = faceCharts.filter((chart) => chart < 0).length;
    throw new MeshAssertionError(
      'expectCovering',
      `${count} faces lie in no chart, the first is face ${missed}`,
      count,
      0,
    );
  }
  if (set.seams) compareCharts(asMesh(mesh), set.seams, faceCharts);
}

function compareCharts(mesh: Mesh, seams: readonly SeamEdges[], faceCharts: Int32Array): void {
  const cut = cutMesh(mesh, seamMask(mesh, seams));
  const chartOf = new Map<number, number>();
  const pieceOf = new Map<number, number>();
  for (let f = 0; f < mesh.faceCount; f++) {
    const piece = cut.faceCharts[f]!;
    const chart = faceCharts[f]!;
    const [knownChart, knownPiece] = [chartOf.get(piece) ?? chart, pieceOf.get(chart) ?? piece];
    if (knownChart !== chart) {
      throw new MeshAssertionError(
        'expectCovering',
        `charts ${knownChart} and ${chart} are not parted by seams (at face ${f})`,
        chart,
        knownChart,
      );
    }
    if (knownPiece !== piece) {
      throw new MeshAssertionError(
        'expectCovering',
        `chart ${chart} is parted by seams (at face ${f})`,
        piece,
        knownPiece,
      );
    }
    chartOf.set(piece, chart);
    pieceOf.set(chart, piece);
  }
}
