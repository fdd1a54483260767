import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { PredictedChart } from '../../src/distortion/index.js';
import { DistortionPredictor, measureChart } from '../../src/distortion/index.js';
import type { ChartStrain } from '../../src/distortion/predict-strain.js';
import { StrainSystem } from '../../src/distortion/predict-strain.js';
import { flattenChart } from '../../src/flattening/index.js';
import { readObj } from '../../src/io/index.js';
import type { ChartSurface, CutMesh, Mesh } from '../../src/mesh/index.js';
import {
  buildMesh,
  cutMesh,
  edgeVertices,
  extractCharts,
  markCutVertices,
  seamMask,
} from '../../src/mesh/index.js';
import { proposeSeams } from '../../src/proposing/index.js';
import { makeMarionette, seededRandom } from '../../src/testing/index.js';
import type { RandomCut } from './charts.js';
import { cutAtRandom, makeKnobbyShape } from './charts.js';

import { LEVELS } from './fit.js';

export { fitRange, fitTerms, median, quantile, spearman } from './fit.js';

/** One chart, predicted and measured. */
export interface ChartRecord {
  readonly source: 'knobs' | 'marionette' | 'model' | 'proposal';
  readonly name: string;
  readonly vertexCount: number;
  readonly faceCount: number;
  /** Of the flattened chart; 4 is isometry. */
  readonly energy: number;
  readonly predicted: number;
  readonly low: number;
  readonly high: number;
  /** Energy of the linear theory, and at each of the fit's levels l the mean of d / (1 + d / l) of the face energies d. */
  readonly strain: number;
  readonly damped: readonly number[];
  readonly areaSpread: number;
  readonly predictedAreaSpread: number;
  /** Share of the faces that are measured below the predicted worst face. */
  readonly worstFaceRank: number;
  readonly flattenMs: number;
  readonly predictMs: number;
  /** The same with one more seam, the mesh being known. */
  readonly againMs: number;
}

interface Source {
  readonly kind: ChartRecord['source'];
  readonly name: string;
  readonly cut: CutMesh;
  readonly charts: readonly ChartSurface[];
}

/** Charts of one half of the sources: those of odd number are for fitting, those of even number for testing. */
export async function collect(
  parity: 0 | 1,
  variants: number,
  modelFolder: string,
  onChart: (record: ChartRecord) => void,
  onFailure: (name: string, error: unknown) => void,
): Promise<void> {
  // Sets of one model share charts, and its sides are twins: each counts once.
  const seen = new Set<string>();
  for await (const { kind, name, cut, charts } of listSources(parity, variants, modelFolder)) {
    const [{ charts: predicted }, predictMs] = time(() =>
      new DistortionPredictor(cut.mesh).predict({ ...cut }),
    );
    const system = new StrainSystem(cut.mesh);
    const againMs = timeAnotherSeam(cut);
    for (const surface of charts) {
      try {
        const strain = system.solve(surface.faces, cut.isSeam);
        const key = `${name} ${surface.vertexCount} ${surface.faces.length} ${strain?.energy.toPrecision(6)}`;
        const share = surface.faces.length / cut.mesh.faceCount;
        const times = { predictMs: share * predictMs, againMs: share * againMs };
        const record =
          !strain || seen.has(key)
            ? undefined
            : measure(kind, name, surface, {
                strain,
                predicted: predicted[cut.faceCharts[surface.faces[0]!]!]!,
                times,
              });
        seen.add(key);
        if (record) onChart(record);
      } catch (error) {
        onFailure(name, error);
      }
    }
  }
}

async function* listSources(parity: 0 | 1, variants: number, modelFolder: string): AsyncGenerator<Source> {
  const random = seededRandom(4711 + parity);
  const regionCount = () => Math.max(1, Math.floor(Math.exp(random.next() * Math.log(24))));
  const characters = listCharacters(modelFolder).filter((_, i) => i % 2 === parity);
  for (let i = 0; i < variants; i++) {
    const seed = 2 * i + parity;
    yield {
      kind: 'knobs',
      name: `knobs ${seed}`,
      ...pick(cutAtRandom(makeKnobbyShape(seed), seed, regionCount())),
    };
    const { kind, name, mesh } = characters[i % characters.length]!;
    yield { kind, name, ...pick(cutAtRandom(mesh, seed, regionCount())) };
  }
  for (const { name, mesh } of characters) {
    const { sets } = await proposeSeams(mesh);
    for (const set of sets) {
      const cut = cutMesh(mesh, seamMask(mesh, set.seams));
      yield { kind: 'proposal', name, cut, charts: extractCharts(cut) };
    }
  }

  function pick({ cut, charts }: RandomCut): RandomCut {
    return {
      cut,
      charts: charts.filter((chart) => chart.vertexCount <= 6000 && random.next() < 0.6).slice(0, 4),
    };
  }
}

function listCharacters(folder: string): { kind: 'marionette' | 'model'; name: string; mesh: Mesh }[] {
  const marionettes = (['a', 'sitting', 'armsRaised', 'asymmetric'] as const).map((pose, i) => ({
    kind: 'marionette' as const,
    name: `marionette ${pose}`,
    mesh: buildMesh(
      makeMarionette({ faces: 1500 * (i + 1), pose, hasTunic: i % 2 === 1, hasEars: i > 1 }).mesh,
    ),
  }));
  if (!existsSync(folder)) return marionettes;
  const models = readdirSync(folder)
    .filter((name) => existsSync(join(folder, name, 'mesh.obj')))
    .map((name) => ({
      kind: 'model' as const,
      name,
      mesh: buildMesh(readObj(readFileSync(join(folder, name, 'mesh.obj'), 'utf8')).mesh),
    }));
  return [...marionettes, ...models];
}

interface MeasureGround {
  readonly strain: ChartStrain;
  readonly predicted: PredictedChart;
  /** The chart's share, by faces, of what predicting for all charts of the mesh took. */
  readonly times: { readonly predictMs: number; readonly againMs: number };
}

function measure(
  source: ChartRecord['source'],
  name: string,
  surface: ChartSurface,
  { strain, predicted, times }: MeasureGround,
): ChartRecord | undefined {
  if (surface.faces.length < 4) return undefined;
  const [flat, flattenMs] = time(() => flattenChart(surface));
  const measured = measureChart(surface, flat.uvs);
  const damped = LEVELS.map((level) =>
    strain.faceEnergies.reduce((sum, d, f) => sum + (strain.faceWeights[f]! * d) / (1 + d / level), 0),
  );
  return {
    source,
    name,
    vertexCount: surface.vertexCount,
    faceCount: surface.faces.length,
    energy: flat.energy,
    predicted: predicted.energy,
    low: predicted.energyLow,
    high: predicted.energyHigh,
    strain: strain.energy,
    damped,
    areaSpread: measured.areaError,
    predictedAreaSpread: predicted.areaSpread,
    worstFaceRank: rankWorst(surface, predicted, measured),
    flattenMs,
    ...times,
  };
}

function rankWorst(
  surface: ChartSurface,
  predicted: PredictedChart,
  { faceSigma1, faceSigma2 }: { faceSigma1: Float64Array; faceSigma2: Float64Array },
): number {
  const energies = faceSigma1.map((a, f) => a ** 2 + a ** -2 + faceSigma2[f]! ** 2 + faceSigma2[f]! ** -2);
  const worst = energies[surface.faces.indexOf(predicted.worstFace)]!;
  return energies.filter((energy) => energy < worst).length / (energies.length - 1);
}

/** What predicting takes when one edge is cut more, from a border inwards: the least of three edges. */
function timeAnotherSeam(cut: CutMesh): number {
  const { mesh, isSeam } = cut;
  const predictor = new DistortionPredictor(mesh);
  predictor.predict({ ...cut });
  const isOnSeam = markCutVertices(mesh, isSeam);
  const inwards = [...isSeam.keys()].filter((e) => {
    const [a, b] = edgeVertices(mesh, e);
    return isOnSeam[a] !== isOnSeam[b];
  });
  let least = Infinity;
  for (let k = 1; k <= 3 && inwards.length > 0; k++) {
    const more = isSeam.slice();
    more[inwards[Math.floor((k * inwards.length) / 4)]!] = 1;
    const cutMore = cutMesh(mesh, more);
    const start = performance.now();
    predictor.predict(cutMore);
    least = Math.min(least, performance.now() - start);
  }
  return Number.isFinite(least) ? least : 0;
}

/** The faster of two runs: the machine may be busy. */
function time<T>(work: () => T): [T, number] {
  const start = performance.now();
  work();
  const middle = performance.now();
  const result = work();
  return [result, Math.min(middle - start, performance.now() - middle)];
}
