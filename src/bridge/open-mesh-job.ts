import type { MeshDocument } from '../io/index.js';
import { readMesh } from '../io/index.js';
import type { Vec3 } from '../math/index.js';
import { buildMesh } from '../mesh/index.js';
import { decodeBase64 } from './base64.js';
import type { Job, JobContext } from './job.js';
import type { MeshCache } from './mesh-cache.js';
import { invalidParams, readNumbers } from './number-arrays.js';
import type { StoredDocument, StoredMesh } from './stored.js';
import { shareArray } from './stored.js';

const ARRAYS = ['points', 'faceVertexCounts', 'faceVertexIndices'] as const;

/** Opens a mesh from arrays, from the text or bytes of a file, or from a path. */
export async function openMesh(
  { params, newId }: Job,
  context: JobContext,
  cache: MeshCache,
): Promise<{ result: unknown; value: StoredMesh }> {
  const sources = [
    ...(ARRAYS.some((name) => params[name] !== undefined) ? ['points'] : []),
    ...(['document', 'path'] as const).filter((name) => params[name] !== undefined),
  ];
  if (sources.length !== 1) {
    throw invalidParams(
      sources[1] ?? 'points',
      sources.length === 0 ? undefined : `${sources.length} sources`,
      'exactly one of points with faceVertexCounts and faceVertexIndices, document, or path',
    );
  }
  const opened =
    sources[0] === 'points' ? { arrays: readArrays(params) } : await readDocument(params, context);
  const { arrays, document } = opened as { arrays: MeshDocument['mesh']; document?: MeshDocument };
  const mesh = buildMesh(arrays);
  cache.add(newId!, mesh, document);
  const uvs = params.uvs === undefined ? document?.cornerUvs : readUvs(params.uvs, mesh.cornerCount);
  const stored: StoredMesh = {
    id: newId!,
    name: (params.name as string | undefined) ?? (opened as { kept?: StoredDocument }).kept?.name ?? newId!,
    points: shareArray(mesh.points),
    faceVertexCounts: shareArray(Int32Array.from(arrays.faceVertexCounts)),
    faceVertexIndices: shareArray(mesh.cornerPoints),
    cornerUvs: uvs && shareArray(uvs),
    document: (opened as { kept?: StoredDocument }).kept,
    axes: document?.upAxis && axesOf(document.upAxis),
    metresPerUnit: document?.metersPerUnit,
  };
  return {
    value: stored,
    result: {
      mesh: newId,
      name: stored.name,
      points: mesh.pointCount,
      faces: mesh.faceCount,
      corners: mesh.cornerCount,
      edges: mesh.edgeCount,
      shells: mesh.shellCount,
      hasUvs: uvs !== undefined,
      metresPerUnit: stored.metresPerUnit ?? null,
      groups: (document?.faceGroups ?? []).map(({ name, kind, faces }) => ({ name, kind, faces })),
      repairs: mesh.repairs.map(({ kind, message, element, elements }) => ({
        kind,
        message,
        element,
        elements: Int32Array.from(elements),
      })),
      warnings: document?.warnings ?? [],
    },
  };
}

function readArrays(params: Job['params']): MeshDocument['mesh'] {
  for (const name of ARRAYS) {
    if (params[name] === undefined) throw invalidParams(name, undefined, 'a list of numbers');
  }
  return {
    points: readNumbers(params.points, 'points', { kind: 'float64' }),
    faceVertexCounts: readNumbers(params.faceVertexCounts, 'faceVertexCounts', { kind: 'int32', least: 0 }),
    faceVertexIndices: readNumbers(params.faceVertexIndices, 'faceVertexIndices', {
      kind: 'int32',
      least: 0,
    }),
  };
}

/** UVs of every corner, null or NaN for none. */
export function readUvs(value: unknown, cornerCount: number, path = 'uvs'): Float64Array {
  const uvs = readNumbers(value, path, { kind: 'float64', allowsNone: true });
  if (uvs.length === 2 * cornerCount) return uvs;
  throw invalidParams(path, `${uvs.length} numbers`, `two for each corner, ${2 * cornerCount}`);
}

async function readDocument(params: Job['params'], context: JobContext) {
  const resources: Record<string, Uint8Array> = {};
  const path = params.path as string | undefined;
  let name: string;
  let bytes: Uint8Array;
  let readBeside: ((uri: string) => Promise<Uint8Array>) | undefined;
  if (path !== undefined) {
    if (!context.files) throw pathsAreOff();
    name = path.split(/[\\/]/).at(-1)!;
    bytes = await context.files.read(path);
    readBeside = context.files.readBeside(path);
  } else {
    const given = params.document as { name: string; text?: string; base64?: string };
    name = given.name;
    if ((given.text === undefined) === (given.base64 === undefined)) {
      throw invalidParams('document', 'text and base64', 'exactly one of the two');
    }
    const decoded =
      given.text === undefined ? decodeBase64(given.base64!) : new TextEncoder().encode(given.text);
    if (!decoded) throw invalidParams('document.base64', 'other text', 'Base64 with its padding');
    bytes = decoded;
  }
  const document = await readMesh(bytes, {
    name,
    ...(readBeside && {
      readResource: async (uri) => {
        const content = await readBeside(uri);
        resources[uri] = shareArray(content);
        return content;
      },
    }),
  });
  return { arrays: document.mesh, document, kept: { name, bytes: shareArray(bytes), resources } };
}

/** The error for a path when none is allowed. */
export function pathsAreOff(): Error {
  return Object.assign(invalidParams('path', 'a path', 'none'), {
    code: -32004,
    message: 'params: path is refused, as the bridge was started without --folder; send the content instead',
  });
}

function axesOf(axis: 'x' | 'y' | 'z'): { up: Vec3; front: Vec3 } {
  if (axis === 'z') return { up: [0, 0, 1], front: [0, -1, 0] };
  return { up: axis === 'x' ? [1, 0, 0] : [0, 1, 0], front: [0, 0, 1] };
}
