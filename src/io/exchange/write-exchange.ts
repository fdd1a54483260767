import type { MeshInput } from '../../mesh/index.js';
import { checkCornerUvs, indexUvs } from '../corner-uvs.js';
import { resolveDecimals } from '../format-decimal.js';
import type { ChartRecord, SeamRecord } from '../seam-records.js';
import { buildSubsets, CHART_FAMILY, SEAM_FAMILY } from '../seam-records.js';
import type { FaceGroup } from '../source-document.js';
import type { ExchangeMesh, ExchangeSubset } from './read-exchange.js';

export interface WriteExchangeOptions {
  /** Seams to write as edge subsets of family "seams". @defaultValue none */
  readonly seams?: readonly SeamRecord[];
  /** Charts to write as face subsets of family "charts", a partition. @defaultValue none */
  readonly charts?: readonly ChartRecord[];
  /** Decimals of the UVs. Range 1..15. @defaultValue 9 */
  readonly decimals?: number;
}

/**
 * The exchange form of a mesh with UVs, seams and charts; what else `source` holds is kept, seams and charts
 * that it holds already are replaced.
 *
 * @param source - content of an exchange file (`readExchange(…).source`, `createExchange(…)`)
 * @param cornerUvs - 2 × cornerCount, NaN for none
 * @throws UV_INVALID, OPTION_INVALID
 */
export function addToExchange(
  source: ExchangeMesh,
  cornerUvs: ArrayLike<number>,
  options: WriteExchangeOptions = {},
): ExchangeMesh {
  const decimals = resolveDecimals(options.decimals ?? 9, 'writeExchange');
  checkCornerUvs(cornerUvs, source.faceVertexIndices.length, 'writeExchange');
  const uvs = indexUvs(cornerUvs, source.faceVertexIndices, decimals);
  const kept = (source.subsets ?? []).filter(
    ({ familyName }) => familyName !== SEAM_FAMILY && familyName !== CHART_FAMILY,
  );
  const added = buildSubsets(
    options.seams ?? [],
    options.charts ?? [],
    kept.map(({ name }) => name),
  );
  const { [SEAM_FAMILY]: _seams, [CHART_FAMILY]: _charts, ...families } = source.subsetFamilies ?? {};
  return {
    ...source,
    version: 1,
    primvars: {
      ...source.primvars,
      st: {
        interpolation: 'faceVarying',
        values: Array.from(uvs.values),
        indices: Array.from(uvs.cornerIndices),
      },
    },
    subsets: [...kept, ...added],
    subsetFamilies: {
      ...families,
      ...(options.seams && { [SEAM_FAMILY]: 'unrestricted' as const }),
      ...(options.charts && { [CHART_FAMILY]: 'partition' as const }),
    },
  };
}

/** Content of an exchange file for a mesh that came from elsewhere; its groups become face subsets. */
export function createExchange(
  mesh: MeshInput,
  faceGroups: readonly FaceGroup[] = [],
  stage: { readonly upAxis?: 'x' | 'y' | 'z'; readonly metersPerUnit?: number } = {},
): ExchangeMesh {
  const subsets = faceGroups.map(
    ({ name, kind, faces }): ExchangeSubset => ({
      name,
      elementType: 'face',
      familyName: kind === 'material' ? 'materialBind' : kind,
      indices: Array.from(faces),
    }),
  );
  return {
    version: 1,
    ...(stage.upAxis && { upAxis: stage.upAxis.toUpperCase() as 'X' | 'Y' | 'Z' }),
    ...(stage.metersPerUnit !== undefined && { metersPerUnit: stage.metersPerUnit }),
    points: Array.from(mesh.points),
    faceVertexCounts: Array.from(mesh.faceVertexCounts),
    faceVertexIndices: Array.from(mesh.faceVertexIndices),
    subdivisionScheme: 'none',
    ...(subsets.length > 0 && { subsets }),
  };
}

/** `addToExchange` as JSON text: one field to a line, a final line break. */
export function writeExchange(
  source: ExchangeMesh,
  cornerUvs: ArrayLike<number>,
  options: WriteExchangeOptions = {},
): string {
  const fields = Object.entries(addToExchange(source, cornerUvs, options)).filter(
    ([, value]) => value !== undefined,
  );
  const lines = fields.map(([name, value]) => `  ${JSON.stringify(name)}: ${JSON.stringify(value)}`);
  return `{\n${lines.join(',\n')}\n}\n`;
}
