import type { Proposal, ProposeOptions, SeamHints, SeamSet } from '../proposing/index.js';
import { proposeSeams } from '../proposing/index.js';
import type { Job, JobContext } from './job.js';
import type { MeshCache } from './mesh-cache.js';
import { invalidParams, readNumbers } from './number-arrays.js';
import type { StoredProposal } from './stored.js';

type Params = Readonly<Record<string, unknown>>;

/** Proposes seam sets, anew or with some options of an earlier proposal changed. */
export async function proposeForClient(
  { params, mesh, proposal, newId }: Job,
  context: JobContext,
  cache: MeshCache,
): Promise<{ result: unknown; value: StoredProposal }> {
  const { mesh: _mesh, proposal: _proposal, ...given } = params;
  const options = proposal ? mergeOptions(proposal.options, given) : given;
  const found = await proposeSeams(cache.mesh(mesh!), {
    ...mesh!.axes,
    ...readProposeOptions(options),
    signal: context.signal,
    onProgress: context.onProgress,
  });
  return {
    result: { proposal: newId, ...describeProposal(found) },
    value: {
      id: newId!,
      mesh: mesh!.id,
      options,
      isMirrored: found.mirror !== undefined,
      sets: found.sets.map(({ name, seams, charts }) => ({
        name,
        seams,
        charts: charts.map(({ faces, part, side, mirrorOf }) => ({ faces, part, side, mirrorOf })),
      })),
    },
  };
}

/** Fields given replace those of before; a hint given as an empty list is one taken back. */
function mergeOptions(before: Params, given: Params): Params {
  const merged: Record<string, unknown> = { ...before, ...given };
  if (before.hints && given.hints) merged.hints = { ...(before.hints as Params), ...(given.hints as Params) };
  return merged;
}

/** The options of a proposal as the client gave them, for the library. */
export function readProposeOptions(params: Params): ProposeOptions {
  const { hints, viewpoints, ...options } = params as Params & { hints?: Params };
  if (viewpoints !== undefined) checkViewpoints(viewpoints);
  return {
    ...(options as ProposeOptions),
    ...(viewpoints !== undefined && { viewpoints: viewpoints as NonNullable<ProposeOptions['viewpoints']> }),
    ...(hints && { hints: readHints(hints) }),
  };
}

function checkViewpoints(value: unknown): void {
  if (typeof value === 'string' && ['all-round', 'front', 'behind-above'].includes(value)) return;
  if (!Array.isArray(value) || value.length === 0) {
    throw invalidParams('viewpoints', value, "'all-round', 'front', 'behind-above' or a list of directions");
  }
  value.forEach((item: unknown, i) => {
    const { direction, weight } = (item ?? {}) as { direction?: unknown; weight?: unknown };
    if (!Array.isArray(direction) || direction.length !== 3 || !direction.every(Number.isFinite)) {
      throw invalidParams(`viewpoints[${i}].direction`, direction, 'three finite numbers');
    }
    if (weight !== undefined && !(typeof weight === 'number' && weight >= 0 && weight < Infinity)) {
      throw invalidParams(`viewpoints[${i}].weight`, weight, 'a finite number of at least 0');
    }
  });
}

function readHints(hints: Params): SeamHints {
  const faces = (name: string) =>
    hints[name] === undefined
      ? undefined
      : Array.from(readNumbers(hints[name], `hints.${name}`, { kind: 'int32', least: 0 }));
  const floats = (name: string, allowsNone: boolean) => {
    if (hints[name] === undefined) return undefined;
    const values = readNumbers(hints[name], `hints.${name}`, { kind: 'float64', allowsNone });
    return values.length === 0 ? undefined : values;
  };
  const settled = hints.settled as Params | undefined;
  return {
    ...(hints as SeamHints),
    settled: settled && {
      faces: Array.from(readNumbers(settled.faces, 'hints.settled.faces', { kind: 'int32', least: 0 })),
      edges: readPairs(settled.edges, 'hints.settled.edges')!,
    },
    keep: readPairs(hints.keep, 'hints.keep'),
    avoid: readPairs(hints.avoid, 'hints.avoid'),
    avoidFaces: faces('avoidFaces'),
    coveredFaces: faces('coveredFaces'),
    paint: floats('paint', false),
    existingUvs: floats('existingUvs', true),
  };
}

/** Pairs of points out of a flat list of them. */
export function readPairs(value: unknown, path: string): [number, number][] | undefined {
  if (value === undefined) return undefined;
  const flat = readNumbers(value, path, { kind: 'int32', least: 0 });
  if (flat.length % 2 !== 0)
    throw invalidParams(path, `${flat.length} points`, 'an even number, two for each edge');
  const pairs: [number, number][] = [];
  for (let i = 0; i < flat.length; i += 2) pairs.push([flat[i]!, flat[i + 1]!]);
  return pairs;
}

function describeProposal(proposal: Proposal) {
  return {
    sets: proposal.sets.map(describeSet),
    dropped: proposal.dropped,
    mirror: proposal.mirror ?? null,
    conflicts: proposal.conflicts,
  };
}

function describeSet(set: SeamSet) {
  return {
    name: set.name,
    score: set.score,
    summary: set.summary,
    prediction: set.prediction,
    criteria: set.criteria,
    seams: set.seams.map(({ edges, vertices, ...seam }) => ({
      ...seam,
      edges: Int32Array.from(edges.flat()),
      vertices: Int32Array.from(vertices),
    })),
    charts: set.charts,
  };
}
