import type { MeshInput } from '../../mesh/index.js';
import { ByteSink } from '../growable.js';
import type { FaceGroup } from '../source-document.js';
import type { UsdaDocument } from './read-usda.js';
import { readUsda } from './read-usda.js';

export interface CreateUsdaOptions {
  /** Groups, which become face GeomSubsets. @defaultValue none */
  readonly faceGroups?: readonly FaceGroup[];
  /** Axis of the points that points up; OpenUSD knows Y and Z. @defaultValue 'y' */
  readonly upAxis?: 'x' | 'y' | 'z';
  /** Metres of one unit of the points. @defaultValue 1 */
  readonly metersPerUnit?: number;
  /** @defaultValue 'none', so that a polygon mesh stays one */
  readonly subdivisionScheme?: 'none' | 'catmullClark' | 'loop' | 'bilinear';
  /** Name of the Mesh prim; characters that an identifier cannot have become underscores. @defaultValue 'Mesh' */
  readonly name?: string;
}

/** A .usda document for a mesh that came from elsewhere. Give it to `writeUsda`. */
export function createUsda(mesh: MeshInput, options: CreateUsdaOptions = {}): UsdaDocument {
  const name = identifier(options.name ?? 'Mesh');
  const sink = new ByteSink(40 * mesh.points.length);
  // OpenUSD has no X up; such a model stands on its side, as it does in its own file.
  const upAxis = options.upAxis === 'z' ? 'Z' : 'Y';
  sink.pushAscii(
    `#usda 1.0\n(\n    defaultPrim = "${name}"\n    metersPerUnit = ${options.metersPerUnit ?? 1}\n    upAxis = "${upAxis}"\n)\n\n`,
  );
  sink.pushAscii(`def Mesh "${name}"\n{\n`);
  pushExtent(sink, mesh.points);
  pushList(sink, 'int[] faceVertexCounts', mesh.faceVertexCounts, 1);
  pushList(sink, 'int[] faceVertexIndices', mesh.faceVertexIndices, 1);
  pushList(sink, 'point3f[] points', mesh.points, 3);
  sink.pushAscii(`    uniform token subdivisionScheme = "${options.subdivisionScheme ?? 'none'}"\n`);
  const taken = new Set<string>();
  for (const { name: group, kind, faces } of options.faceGroups ?? []) {
    let subset = identifier(group);
    for (let i = 1; taken.has(subset); i++) subset = `${identifier(group)}_${i}`;
    taken.add(subset);
    sink.pushAscii(`\n    def GeomSubset "${subset}"\n    {\n    `);
    sink.pushAscii(`    uniform token elementType = "face"\n    `);
    sink.pushAscii(`    uniform token familyName = "${kind === 'material' ? 'materialBind' : kind}"\n    `);
    pushList(sink, 'int[] indices', faces, 1);
    sink.pushAscii('    }\n');
  }
  sink.pushAscii('}\n');
  return readUsda(sink.toBytes(), { maxBytes: Infinity, maxElements: Infinity });
}

const identifier = (name: string): string =>
  name.replace(/[^A-Za-z0-9_]/g, '_').replace(/^(?![A-Za-z_])/, '_');

function pushList(sink: ByteSink, declaration: string, values: ArrayLike<number>, size: 1 | 3): void {
  sink.pushAscii(`    ${declaration} = [`);
  for (let i = 0; i < values.length; i += size) {
    if (i > 0) sink.pushAscii(', ');
    sink.pushAscii(size === 1 ? `${values[i]}` : `(${values[i]}, ${values[i + 1]}, ${values[i + 2]})`);
  }
  sink.pushAscii(']\n');
}

function pushExtent(sink: ByteSink, points: ArrayLike<number>): void {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i++) {
    low[i % 3] = Math.min(low[i % 3]!, points[i]!);
    high[i % 3] = Math.max(high[i % 3]!, points[i]!);
  }
  sink.pushAscii(`    float3[] extent = [(${low.join(', ')}), (${high.join(', ')})]\n`);
}
