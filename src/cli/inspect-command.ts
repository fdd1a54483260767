import { buildAxisFrame, findMirror } from '../fields/index.js';
import { dot } from '../math/index.js';
import type { Mesh } from '../mesh/index.js';
import { cutMesh, measureChartTopology } from '../mesh/index.js';
import { formatAxis } from './axis.js';
import { readAxes } from './axis-options.js';
import type { CommandRun } from './command.js';
import { EXIT } from './exit-codes.js';
import { countOf, formatFacts, formatJson, formatShare } from './format-text.js';
import { loadModel } from './load-model.js';
import { createProgress } from './progress.js';

interface ShellHealth {
  readonly faces: number;
  readonly borderLoops: number;
  readonly handles: number;
  readonly eulerCharacteristic: number;
}

/** Prints what a mesh is made of and what had to be mended. */
export async function runInspect({ operands, options, streams }: CommandRun): Promise<number> {
  const progress = createProgress(streams, options.quiet === true);
  const model = await loadModel(operands[0]!, streams);
  for (const warning of model.document.warnings) progress.warn(warning);
  const { mesh } = model;
  const axes = readAxes(options, model.document.upAxis);
  const mirror = findMirror(mesh, axes);
  const { front, side } = buildAxisFrame(axes);
  const shells = measureShells(mesh);
  const faceSides = countFaceSides(mesh);
  const result = {
    file: model.name,
    format: model.document.format,
    points: mesh.pointCount,
    faces: mesh.faceCount,
    ...faceSides,
    vertices: mesh.vertexCount,
    edges: mesh.edgeCount,
    shells,
    groups: model.document.faceGroups.map(({ name, kind, faces }) => ({ name, kind, faces: faces.length })),
    hasUvs: model.document.cornerUvs !== undefined,
    repairs: mesh.repairs,
    mirror: mirror && {
      point: mirror.point,
      normal: mirror.normal,
      matchedShare: mirror.matchedShare,
      basis: mirror.basis,
    },
  };
  if (options.json === true) {
    streams.writeOut(formatJson({ ...result, mirror: result.mirror ?? null }));
    return EXIT.done;
  }
  const total = (key: 'borderLoops' | 'handles') => shells.reduce((sum, shell) => sum + shell[key], 0);
  streams.writeOut(
    formatFacts([
      ['points', String(mesh.pointCount)],
      [
        'faces',
        `${mesh.faceCount} (${faceSides.triangles} triangles, ${faceSides.quads} quads, ${faceSides.polygons} of more sides)`,
      ],
      ['edges', String(mesh.edgeCount)],
      ['shells', String(mesh.shellCount)],
      ['borders', countOf(total('borderLoops'), 'loop')],
      ['handles', String(total('handles'))],
      [
        'groups',
        result.groups.length === 0
          ? 'none'
          : result.groups.map(({ name, kind }) => `${kind} ${name}`).join(', '),
      ],
      ['UVs', result.hasUvs ? 'yes' : 'no'],
      [
        'mirror',
        mirror
          ? `across ${formatAxis(mirror.normal)}, ${formatShare(mirror.matchedShare)} of the surface has a partner by ${mirror.basis}`
          : 'none',
      ],
      ...(mirror && Math.abs(dot(mirror.normal, front)) > Math.SQRT1_2
        ? ([
            ['', `that is from front to back: does the model face along ${formatAxis(side)}, --front?`],
          ] as const)
        : []),
      ...(mesh.repairs.length === 0
        ? ([['repairs', 'none']] as const)
        : mesh.repairs.map((repair, i) => [i === 0 ? 'repairs' : '', repair.message] as const)),
    ]),
  );
  return EXIT.done;
}

/** Shell by shell, largest first: open loops and handles (genus, from V − E + F = 2 − 2g − b). */
function measureShells(mesh: Mesh): ShellHealth[] {
  return measureChartTopology(cutMesh(mesh, new Uint8Array(mesh.edgeCount)))
    .map(({ faceCount, borderLoops, eulerCharacteristic }) => ({
      faces: faceCount,
      borderLoops,
      handles: (2 - borderLoops - eulerCharacteristic) / 2,
      eulerCharacteristic,
    }))
    .sort((a, b) => b.faces - a.faces);
}

function countFaceSides(mesh: Mesh): { triangles: number; quads: number; polygons: number } {
  let triangles = 0;
  let quads = 0;
  for (let f = 0; f < mesh.faceCount; f++) {
    const corners = mesh.faceOffsets[f + 1]! - mesh.faceOffsets[f]!;
    if (corners === 3) triangles++;
    else if (corners === 4) quads++;
  }
  return { triangles, quads, polygons: mesh.faceCount - triangles - quads };
}
