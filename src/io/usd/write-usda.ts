import { checkCornerUvs, indexUvs } from '../corner-uvs.js';
import { formatDecimal, resolveDecimals } from '../format-decimal.js';
import { ByteSink } from '../growable.js';
import { CR, LF, SPACE, TAB } from '../scan-bytes.js';
import type { ChartRecord, SeamRecord, SubsetRecord } from '../seam-records.js';
import { buildSubsets, CHART_FAMILY, SEAM_FAMILY } from '../seam-records.js';
import type { ByteRange, UsdaLayer, UsdaPrim } from './parse-usda.js';
import { parseUsda, readText } from './parse-usda.js';
import type { UsdaDocument, UsdaMeshPrim } from './read-usda.js';
import { localCorner } from './read-usda.js';

export interface WriteUsdaOptions {
  /** Seams to write as edge GeomSubsets of family "seams". @defaultValue none */
  readonly seams?: readonly SeamRecord[];
  /** Charts to write as face GeomSubsets of family "charts", a partition. @defaultValue none */
  readonly charts?: readonly ChartRecord[];
  /** Decimals of the UVs. Range 1..15. @defaultValue 9 */
  readonly decimals?: number;
}

/** An exchange of some bytes for others; `start === end` inserts. */
interface Edit extends ByteRange {
  readonly text: string;
}

const CALLER = 'writeUsda';
const INDENT = '    ';

/**
 * Writes a .usda layer with new UVs and leaves the rest of its bytes: each Mesh prim gets `primvars:st`, face
 * varying with indices, and GeomSubsets for its share of the seams and charts in place of those it had. Only
 * fields of the OpenUSD schemas are written (UsdGeomMesh, UsdGeomPrimvarsAPI, UsdGeomSubset); a seam's role,
 * part, side and reason stand in `customData`.
 *
 * @param cornerUvs - 2 × cornerCount, lower-left origin; a corner with NaN gets 0, 0
 * @throws UV_INVALID, OPTION_INVALID
 */
export function writeUsda(
  document: UsdaDocument,
  cornerUvs: ArrayLike<number>,
  options: WriteUsdaOptions = {},
): string {
  return new TextDecoder('utf-8', { ignoreBOM: true }).decode(writeUsdaBytes(document, cornerUvs, options));
}

/** `writeUsda` as UTF-8 bytes. */
export function writeUsdaBytes(
  document: UsdaDocument,
  cornerUvs: ArrayLike<number>,
  options: WriteUsdaOptions = {},
): Uint8Array {
  const decimals = resolveDecimals(options.decimals ?? 9, CALLER);
  checkCornerUvs(cornerUvs, document.mesh.faceVertexIndices.length, CALLER);
  const layer = parseUsda(document.source, CALLER);
  const lineBreak = document.source.includes(CR) ? '\r\n' : '\n';
  const edits: Edit[] = [];
  for (const range of document.prims) {
    const prim = findPrim(layer.prims, range.offset)!;
    edits.push(...removeOld(layer, prim));
    const indent = indentOf(document.source, prim.start);
    const writer = new PrimWriter(document, range, indent + INDENT, decimals);
    const type = prim.properties.get('primvars:st')?.type ?? '';
    writer.addUvs(cornerUvs, /^(texCoord2[fd]|float2|double2)\[\]$/.test(type) ? type : 'texCoord2f[]');
    writer.addSubsets(
      options.seams,
      options.charts,
      prim.children.map(({ name }) => name),
    );
    const text = writer.lines.map((line) => line + lineBreak).join('');
    edits.push({
      start: prim.body.end,
      end: prim.body.end,
      text: joinBefore(document.source, prim.body, text, indent, lineBreak),
    });
  }
  return applyEdits(document.source, edits);
}

/** Collects the lines that a Mesh prim gets. */
class PrimWriter {
  readonly lines: string[] = [];
  readonly #document: UsdaDocument;
  readonly #prim: UsdaMeshPrim;
  readonly #indent: string;
  readonly #decimals: number;

  constructor(document: UsdaDocument, prim: UsdaMeshPrim, indent: string, decimals: number) {
    this.#document = document;
    this.#prim = prim;
    this.#indent = indent;
    this.#decimals = decimals;
  }

  addUvs(cornerUvs: ArrayLike<number>, type: string): void {
    const { firstFace, faceCount, firstCorner, cornerCount, isReversed } = this.#prim;
    const { faceVertexCounts, faceVertexIndices } = this.#document.mesh;
    const uvs = new Float64Array(2 * cornerCount);
    const points = new Int32Array(cornerCount);
    for (let f = firstFace, first = 0; f < firstFace + faceCount; f++) {
      const size = faceVertexCounts[f]!;
      for (let k = 0; k < size; k++) {
        const from = firstCorner + first + k;
        const to = first + localCorner(k, size, isReversed);
        points[to] = faceVertexIndices[from]!;
        // Every corner of a face-varying primvar has a value.
        for (let i = 0; i < 2; i++) uvs[2 * to + i] = cornerUvs[2 * from + i]! || 0;
      }
      first += size;
    }
    const { values, cornerIndices } = indexUvs(uvs, points, this.#decimals);
    const pairs: string[] = [];
    for (let i = 0; i < values.length; i += 2) {
      pairs.push(
        `(${formatDecimal(values[i]!, this.#decimals)}, ${formatDecimal(values[i + 1]!, this.#decimals)})`,
      );
    }
    this.#add(0, `${type} primvars:st = [${pairs.join(', ')}] (`);
    this.#add(1, 'interpolation = "faceVarying"');
    this.#add(0, ')');
    this.#add(0, `int[] primvars:st:indices = [${cornerIndices.join(', ')}]`);
  }

  addSubsets(
    seams: readonly SeamRecord[] | undefined,
    charts: readonly ChartRecord[] | undefined,
    takenNames: readonly string[],
  ): void {
    const { firstPoint, pointCount, firstFace, faceCount } = this.#prim;
    const isIn = (index: number, first: number, count: number) => index >= first && index < first + count;
    const ownSeams = (seams ?? []).flatMap((seam) => {
      const edges = seam.edges
        .filter((edge) => edge.every((point) => isIn(point, firstPoint, pointCount)))
        .map(([a, b]): [number, number] => [a - firstPoint, b - firstPoint]);
      return edges.length > 0 ? [{ ...seam, edges }] : [];
    });
    const ownCharts = (charts ?? []).flatMap((chart) => {
      const faces = Array.from(chart.faces)
        .filter((f) => isIn(f, firstFace, faceCount))
        .map((f) => f - firstFace);
      return faces.length > 0 ? [{ ...chart, faces }] : [];
    });
    if (ownSeams.length > 0)
      this.#add(0, `uniform token subsetFamily:${SEAM_FAMILY}:familyType = "unrestricted"`);
    if (ownCharts.length > 0)
      this.#add(0, `uniform token subsetFamily:${CHART_FAMILY}:familyType = "partition"`);
    for (const subset of buildSubsets(ownSeams, ownCharts, takenNames)) this.#addSubset(subset);
  }

  #addSubset({ name, elementType, familyName, indices, customData }: SubsetRecord): void {
    this.lines.push('');
    const data = Object.entries(customData);
    if (data.length === 0) this.#add(0, `def GeomSubset "${name}"`);
    else {
      this.#add(0, `def GeomSubset "${name}" (`);
      this.#add(1, 'customData = {');
      for (const [key, value] of data) {
        this.#add(
          2,
          typeof value === 'string' ? `string ${key} = ${quote(value)}` : `double ${key} = ${value}`,
        );
      }
      this.#add(1, '}');
      this.#add(0, ')');
    }
    this.#add(0, '{');
    this.#add(1, `uniform token elementType = "${elementType}"`);
    this.#add(1, `uniform token familyName = "${familyName}"`);
    this.#add(1, `int[] indices = [${indices.join(', ')}]`);
    this.#add(0, '}');
  }

  #add(depth: number, line: string): void {
    this.lines.push(this.#indent + INDENT.repeat(depth) + line);
  }
}

/** A USD string; line breaks would end it. */
const quote = (text: string): string => `"${text.replace(/[\\"]/g, '\\$&').replace(/[\r\n]+/g, ' ')}"`;

/** The prim that starts at the byte; paths do not name one in a file with doubled names. */
function findPrim(prims: readonly UsdaPrim[], offset: number): UsdaPrim | undefined {
  const around = prims.find(({ start, end }) => start <= offset && offset < end);
  return around && around.start !== offset ? findPrim(around.children, offset) : around;
}

/** Takes out the UVs, seams and charts that the prim has. */
function removeOld({ scanner }: UsdaLayer, prim: UsdaPrim): Edit[] {
  const names = /^(primvars:st(:indices)?|subsetFamily:(seams|charts):familyType)(\.\w+)?$/;
  const old: ByteRange[] = [...prim.properties.values()].filter(({ name }) => names.test(name));
  for (const child of prim.children) {
    const family = readText(scanner, child.properties.get('familyName')?.value);
    if (child.type === 'GeomSubset' && (family === SEAM_FAMILY || family === CHART_FAMILY)) old.push(child);
  }
  return old.map((range) => ({ ...wholeLines(scanner.bytes, range), text: '' }));
}

/** The range with the blanks before it and the line break after it, when it has its lines to itself. */
function wholeLines(bytes: Uint8Array, { start, end }: ByteRange): ByteRange {
  let from = start;
  while (bytes[from - 1] === SPACE || bytes[from - 1] === TAB) from--;
  let to = end;
  while (bytes[to] === SPACE || bytes[to] === TAB || bytes[to] === 59 /* ; */) to++;
  if (bytes[from - 1] !== LF || (bytes[to] !== LF && bytes[to] !== CR)) return { start, end: to };
  return { start: from, end: bytes[to] === CR && bytes[to + 1] === LF ? to + 2 : to + 1 };
}

function indentOf(bytes: Uint8Array, start: number): string {
  let from = start;
  while (bytes[from - 1] === SPACE || bytes[from - 1] === TAB) from--;
  return from === 0 || bytes[from - 1] === LF ? new TextDecoder().decode(bytes.subarray(from, start)) : '';
}

/** Text to put right before the closing brace, which keeps the indentation it had if it has a line of its own. */
function joinBefore(
  bytes: Uint8Array,
  body: ByteRange,
  text: string,
  indent: string,
  lineBreak: string,
): string {
  let from = body.end;
  while (from > body.start && (bytes[from - 1] === SPACE || bytes[from - 1] === TAB)) from--;
  if (bytes[from - 1] !== LF) return lineBreak + text + indent;
  const before = new TextDecoder().decode(bytes.subarray(from, body.end));
  return text.startsWith(before) ? text.slice(before.length) + before : lineBreak + text + indent;
}

function applyEdits(source: Uint8Array, edits: readonly Edit[]): Uint8Array {
  const sink = new ByteSink(source.length + 1024);
  const encoder = new TextEncoder();
  let copied = 0;
  for (const { start, end, text } of [...edits].sort((a, b) => a.start - b.start || a.end - b.end)) {
    if (start > copied) sink.pushRange(source, copied, start);
    const bytes = encoder.encode(text);
    sink.pushRange(bytes, 0, bytes.length);
    copied = Math.max(copied, end);
  }
  sink.pushRange(source, copied, source.length);
  return sink.toBytes();
}
