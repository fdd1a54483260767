import { FormatError } from '../../errors.js';
import { spreadUvs } from '../corner-uvs.js';
import type { ReadLimits } from '../limits.js';
import { checkByteLength, checkElementCount, resolveLimits } from '../limits.js';
import { parseJson } from '../parse-json.js';
import type { SeamRecord } from '../seam-records.js';
import { CHART_FAMILY, SEAM_FAMILY, seamOfSubset } from '../seam-records.js';
import type { FaceGroup, IndexedUvs, SourceDocument } from '../source-document.js';
import type { JsonSchema } from './check-schema.js';
import { checkSchema } from './check-schema.js';
import schema from './schema.json';

/** JSON Schema (draft 2020-12) of the exchange format. */
export const EXCHANGE_SCHEMA: JsonSchema = schema as JsonSchema;

/** The exchange format: an OpenUSD mesh as JSON, tuples written flat. */
export interface ExchangeMesh {
  readonly version?: 1;
  readonly name?: string;
  readonly upAxis?: 'X' | 'Y' | 'Z';
  readonly metersPerUnit?: number;
  readonly points: readonly number[];
  readonly faceVertexCounts: readonly number[];
  readonly faceVertexIndices: readonly number[];
  readonly subdivisionScheme?: 'none' | 'catmullClark' | 'loop' | 'bilinear';
  readonly primvars?: Readonly<Record<string, ExchangePrimvar>>;
  readonly subsets?: readonly ExchangeSubset[];
  readonly subsetFamilies?: Readonly<Record<string, 'partition' | 'nonOverlapping' | 'unrestricted'>>;
  readonly customData?: Readonly<Record<string, unknown>>;
}

export interface ExchangePrimvar {
  readonly type?: string;
  readonly interpolation?: 'constant' | 'uniform' | 'varying' | 'vertex' | 'faceVarying';
  readonly values: readonly unknown[];
  readonly indices?: readonly number[];
}

export interface ExchangeSubset {
  readonly name: string;
  readonly elementType?: 'face' | 'edge' | 'point';
  readonly familyName?: string;
  readonly indices: readonly number[];
  readonly customData?: Readonly<Record<string, unknown>>;
}

/** An exchange file that has been read. */
export interface ExchangeDocument extends SourceDocument {
  readonly format: 'json';
  /** The file's content, checked. */
  readonly source: ExchangeMesh;
  readonly seams: readonly SeamRecord[];
}

const CALLER = 'readExchange';

/**
 * Reads a mesh in exchange JSON and checks it against `EXCHANGE_SCHEMA`.
 *
 * @param source - text, UTF-8 bytes, or a value already parsed, which must not be changed later
 * @throws FORMAT_INVALID with `details.path`, FORMAT_TOO_LARGE, OPTION_INVALID
 */
export function readExchange(
  source: string | Uint8Array | object,
  options: ReadLimits = {},
): ExchangeDocument {
  const limits = resolveLimits(options, CALLER);
  let value: unknown = source;
  if (typeof source === 'string' || source instanceof Uint8Array) {
    checkByteLength(source.length, limits, CALLER);
    value = parseJson(source, CALLER);
  }
  checkSchema(value, EXCHANGE_SCHEMA, CALLER);
  const file = value as ExchangeMesh;
  checkElementCount(file.points.length / 3, 'points', limits, CALLER);
  checkElementCount(file.faceVertexIndices.length, 'corners', limits, CALLER);
  const mesh = {
    points: Float64Array.from(file.points),
    faceVertexCounts: toIndices(file.faceVertexCounts, 'faceVertexCounts'),
    faceVertexIndices: toIndices(file.faceVertexIndices, 'faceVertexIndices'),
  };
  const uvs = readUvs(file, mesh.faceVertexIndices);
  const { faceGroups, seams } = readSubsets(file, limits);
  return {
    format: 'json',
    source: file,
    mesh,
    faceGroups,
    seams,
    ...(uvs && { cornerUvs: spreadUvs(uvs) }),
    ...(file.upAxis && { upAxis: file.upAxis.toLowerCase() as 'x' | 'y' | 'z' }),
    ...(file.metersPerUnit !== undefined && { metersPerUnit: file.metersPerUnit }),
    warnings: [],
  };
}

function readUvs(file: ExchangeMesh, cornerPoints: Int32Array): IndexedUvs | undefined {
  const st = file.primvars && Object.hasOwn(file.primvars, 'st') ? file.primvars.st : undefined;
  if (!st) return undefined;
  const values = Float64Array.from(st.values as number[]);
  if (values.length % 2 !== 0) {
    throw invalid('primvars.st.values', `${values.length} numbers`, 'an even number of them');
  }
  const isPerPoint = st.interpolation === 'vertex' || st.interpolation === 'varying';
  const elementCount = isPerPoint ? file.points.length / 3 : cornerPoints.length;
  const indexCount = st.indices?.length ?? values.length / 2;
  if (indexCount !== elementCount) {
    throw invalid(
      st.indices ? 'primvars.st.indices' : 'primvars.st.values',
      `${indexCount} ${st.indices ? 'indices' : 'pairs'}`,
      `${elementCount}, one for each ${isPerPoint ? 'point' : 'corner'}`,
    );
  }
  const cornerIndices = new Int32Array(cornerPoints.length);
  for (let c = 0; c < cornerPoints.length; c++) {
    const element = isPerPoint ? cornerPoints[c]! : c;
    const index = st.indices ? st.indices[element] : element < indexCount ? element : undefined;
    if (index !== undefined && index >= values.length / 2) {
      throw invalid(`primvars.st.indices[${element}]`, `${index}`, `at most ${values.length / 2 - 1}`);
    }
    cornerIndices[c] = index ?? -1;
  }
  return { values, cornerIndices };
}

function readSubsets(
  file: ExchangeMesh,
  limits: Required<ReadLimits>,
): { faceGroups: FaceGroup[]; seams: SeamRecord[] } {
  const faceGroups: FaceGroup[] = [];
  const seams: SeamRecord[] = [];
  const pointCount = file.points.length / 3;
  (file.subsets ?? []).forEach((subset, i) => {
    const path = `subsets[${i}].indices`;
    checkElementCount(subset.indices.length, 'subset indices', limits, CALLER);
    const isFace = (subset.elementType ?? 'face') === 'face';
    const count = isFace ? file.faceVertexCounts.length : pointCount;
    const wrong = subset.indices.findIndex((index) => index >= count);
    if (wrong >= 0) {
      throw invalid(`${path}[${wrong}]`, `${subset.indices[wrong]}`, `at most ${count - 1}`);
    }
    if (subset.elementType === 'edge') {
      if (subset.indices.length % 2 !== 0) {
        throw invalid(path, `${subset.indices.length} indices`, 'pairs of point indices');
      }
      if (subset.familyName === SEAM_FAMILY)
        seams.push(seamOfSubset(subset.indices, subset.customData ?? {}));
    } else if (isFace && subset.familyName !== CHART_FAMILY) {
      faceGroups.push({
        name: subset.name,
        kind: groupKind(subset.familyName),
        faces: Int32Array.from(new Set(subset.indices)).sort(),
      });
    }
  });
  return { faceGroups, seams };
}

function groupKind(familyName: string | undefined): FaceGroup['kind'] {
  if (familyName === 'materialBind') return 'material';
  return familyName === 'group' || familyName === 'object' ? familyName : 'subset';
}

function toIndices(values: readonly number[], path: string): Int32Array {
  const wrong = values.findIndex((value) => value > 0x7fffffff);
  if (wrong >= 0) throw invalid(`${path}[${wrong}]`, `${values[wrong]}`, `at most ${0x7fffffff}`);
  return Int32Array.from(values);
}

const invalid = (path: string, got: string, expected: string): FormatError =>
  new FormatError('FORMAT_INVALID', `${CALLER}: ${path} is not valid, got ${got}, expected ${expected}`, {
    path,
  });
