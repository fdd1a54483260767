import type { LayoutReport } from '../distortion/index.js';
import { measureLayout } from '../distortion/index.js';
import { throwIfAborted } from '../errors.js';
import type { FlattenChartsOptions } from '../flattening/index.js';
import { flattenCharts } from '../flattening/index.js';
import type { WrittenFormat } from '../io/index.js';
import { writeWithUvs } from '../io/index.js';
import { arrangeCharts, pickFlatChart } from '../layout/index.js';
import type { Vec3 } from '../math/index.js';
import type { SeamHints } from '../proposing/index.js';
import { PROPOSE_DEFAULTS } from '../proposing/index.js';
import { readArrangeOptions } from './arrange-options.js';
import type { Job, JobContext } from './job.js';
import type { MeshCache } from './mesh-cache.js';
import { invalidParams } from './number-arrays.js';
import { pathsAreOff, readUvs } from './open-mesh-job.js';
import { readPairs } from './propose-job.js';
import type {
  StoredCarried,
  StoredFlat,
  StoredMesh,
  StoredProposal,
  StoredSet,
  StoredSheet,
} from './stored.js';

/** Flattens the charts of a proposed set, or of the client's own seams. */
export function flattenForClient(
  job: Job,
  context: JobContext,
  cache: MeshCache,
): { result: unknown; value: StoredFlat } {
  const { params, mesh, proposal, carried, newId } = job;
  const set = pickSeams(job);
  const source = proposal ?? carried;
  const flat = flattenCharts(cache.mesh(mesh!), set.charts.length > 0 ? set : { seams: set.seams }, {
    ...(params.method !== undefined && {
      method: params.method as NonNullable<FlattenChartsOptions['method']>,
    }),
    mirror: source?.isMirrored
      ? cache.mirror(mesh!, axisOf('up', source, mesh!), axisOf('front', source, mesh!))
      : undefined,
    lines: (params.lines ?? (proposal?.options.hints as SeamHints | undefined)?.pins) as SeamHints['pins'],
    signal: context.signal,
    onProgress: (share) => context.onProgress(share, 'flattening'),
  });
  const charts = flat.charts.map(pickFlatChart);
  return {
    value: { id: newId!, mesh: mesh!.id, charts, set: set.charts.length > 0 ? set : { ...set, charts } },
    result: {
      flat: newId,
      energy: flat.energy,
      charts: flat.charts.map((chart, i) => ({
        ...charts[i]!,
        energy: chart.energy,
        method: chart.method,
        isInjective: chart.isInjective,
      })),
    },
  };
}

/** The seams that a request names: proposed, carried, the client's own or those of a sheet. */
export function pickSeams({ params, proposal, carried }: Job, sheet?: Pick<StoredSheet, 'set'>): StoredSet {
  if (proposal) return chooseSet(proposal.sets, params.set);
  if (carried) return carried.set;
  const edges = readPairs(params.edges, 'edges');
  return sheet && !edges ? sheet.set : { name: 'own seams', seams: [{ edges: edges ?? [] }], charts: [] };
}

/** The direction that seams were proposed with. */
function axisOf(name: 'up' | 'front', source: StoredProposal | StoredCarried, mesh: StoredMesh): Vec3 {
  return (source.options[name] as Vec3 | undefined) ?? mesh.axes?.[name] ?? PROPOSE_DEFAULTS[name];
}

function chooseSet(sets: readonly StoredSet[], index: unknown): StoredSet {
  const set = sets[(index as number | undefined) ?? 0];
  if (!set) throw invalidParams('set', index, `a number from 0 to ${sets.length - 1}`);
  return set;
}

/** Packs flattened charts on a sheet. */
export function arrangeForClient(
  { params, mesh, flat, newId }: Job,
  context: JobContext,
  cache: MeshCache,
): { result: unknown; value: StoredSheet } {
  const built = cache.mesh(mesh!);
  const layout = arrangeCharts(built, flat!, {
    ...mesh!.axes,
    ...(mesh!.metresPerUnit !== undefined && { metresPerUnit: mesh!.metresPerUnit }),
    ...readArrangeOptions(params, built, flat!.charts.length),
    signal: context.signal,
    onProgress: context.onProgress,
  });
  const { uvs, charts, tiles, fill, density, resolution, padding, gutter, gap, notes } = layout;
  return {
    value: { id: newId!, mesh: mesh!.id, set: flat!.set, uvs, resolution },
    result: { sheet: newId, uvs, charts, tiles, fill, density, resolution, padding, gutter, gap, notes },
  };
}

/** Measures a sheet, or any UVs of a mesh. */
export function measureForClient(
  { params, mesh, sheet }: Job,
  context: JobContext,
  cache: MeshCache,
): unknown {
  const built = cache.mesh(mesh!);
  const uvs =
    sheet?.uvs ?? (params.uvs === undefined ? mesh!.cornerUvs : readUvs(params.uvs, built.cornerCount));
  if (!uvs) throw invalidParams('uvs', undefined, 'UVs, as the mesh was opened without any');
  const resolution = (params.resolution as number | undefined) ?? sheet?.resolution ?? 2048;
  if (!(resolution >= 16 && resolution <= 65536)) {
    throw invalidParams('resolution', resolution, 'a whole number from 16 to 65536');
  }
  const { signal, onProgress } = context;
  return describeReport(measureLayout(built, uvs, { resolution, signal, onProgress }));
}

function describeReport(report: LayoutReport) {
  return {
    energy: report.energy,
    energyGlobal: report.energyGlobal,
    stretchL2: report.stretchL2,
    stretchLinf: report.stretchLinf,
    quasiConformal: report.quasiConformal,
    areaError: report.areaError,
    angleError: report.angleError,
    texelDensity: report.texelDensity,
    densitySpread: report.densitySpread,
    gap: report.gap,
    seamLength: report.seamLength,
    surfaceArea: report.surfaceArea,
    fill: report.fill,
    disks: report.diskCount,
    unmappedFaces: Int32Array.from(report.unmappedFaces),
    flippedFaces: Int32Array.from(report.flippedFaces),
    degenerateFaces: Int32Array.from(report.degenerateFaces),
    outsideFaces: Int32Array.from(report.outsideFaces),
    overlappingPairs: report.overlaps.pairs.length,
    faceCharts: report.faceCharts,
    charts: report.charts.map(({ faces, texelDensity, tile, distortion }) => ({
      faces: faces.length,
      energy: distortion.energy,
      stretchL2: distortion.stretchL2,
      texelDensity,
      tile: tile ?? null,
    })),
  };
}

/** Writes a sheet as a file, into the answer or, with a path, under the allowed folder. */
export async function exportForClient(
  { params, mesh, sheet }: Job,
  context: JobContext,
  cache: MeshCache,
): Promise<unknown> {
  const path = params.path as string | undefined;
  if (path !== undefined && !context.files) throw pathsAreOff();
  const document = await cache.document(mesh!);
  const format = params.format as WrittenFormat | undefined;
  const { bytes, ...written } = await writeWithUvs(document, sheet!.uvs, {
    ...(format && { format }),
    seams: sheet!.set.seams,
    charts: sheet!.set.charts,
  });
  throwIfAborted(context.signal);
  const facts = { format: written.format, extension: written.extension, byteLength: bytes.length };
  if (path === undefined) return { ...facts, base64: Uint8Array.from(bytes) };
  await context.files!.write(path, bytes);
  return { ...facts, path };
}
