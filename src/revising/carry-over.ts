import { InvalidOptionError } from '../errors.js';
import type { Mesh, SeamEdges } from '../mesh/index.js';
import { cutMesh, seamMask } from '../mesh/index.js';
import { DisjointSet } from '../structures/index.js';
import { carrySeams } from './carry-seams.js';
import { carryUvs } from './carry-uvs.js';
import { NearestSurface } from './nearest-surface.js';

/** What to carry over; either may be left out. */
export interface CarrySource {
  /** Seams as pairs of the old mesh's points. */
  readonly seams?: readonly SeamEdges[];
  /** uv of every corner of the old mesh, 2 × cornerCount. */
  readonly uvs?: ArrayLike<number>;
}

export interface CarryOptions {
  /**
   * How far the new surface may lie from the old one, as a share of the old model's diagonal, 0 to 1.
   * @defaultValue 0.02
   */
  readonly tolerance?: number;
}

export const CARRY_DEFAULTS: Readonly<Required<CarryOptions>> = Object.freeze({ tolerance: 0.02 });

export interface CarryResult {
  /** Whether both meshes have the same faces, so that everything was carried as it was. */
  readonly isExact: boolean;
  /** The seams on the new mesh, in the order of the old ones; undefined when none were given. */
  readonly seams: readonly { readonly edges: readonly (readonly [number, number])[] }[] | undefined;
  /** uv of every corner of the new mesh, NaN where nothing could be carried; undefined when none were given. */
  readonly uvs: Float64Array | undefined;
  /** Old seam edges that have no place on the new mesh. */
  readonly lostEdges: readonly { readonly seam: number; readonly edge: readonly [number, number] }[];
  /** New faces with no old surface near them. */
  readonly unmatchedFaces: readonly number[];
  /** New faces whose UVs came out turned over or far off in size, such as those across an old seam. */
  readonly doubtfulFaces: readonly number[];
  /** The same in words, one sentence for each kind of loss. */
  readonly notes: readonly string[];
}

/**
 * Carries seams and UVs to an edited or re-posed version of a model. A mesh of the same faces, wherever its
 * points are, takes them exactly; a changed one takes them from the nearest surface, in the same pose and
 * place, and the result says what could not be carried.
 *
 * @throws OPTION_INVALID for a bad tolerance or UVs of the wrong length; HINT_INVALID when a seam is no edge
 *
 * @example
 * const { seams, notes } = carryOver(oldMesh, { seams: set.seams }, newMesh);
 */
export function carryOver(
  from: Mesh,
  source: CarrySource,
  to: Mesh,
  options: CarryOptions = {},
): CarryResult {
  const share = options.tolerance ?? CARRY_DEFAULTS.tolerance;
  if (!(share >= 0 && share <= 1))
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `carryOver: bad tolerance, got ${share}, expected 0 to 1`,
      { option: 'tolerance', tolerance: share },
    );
  const { seams, uvs } = source;
  if (uvs && uvs.length !== 2 * from.cornerCount)
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `carryOver: bad uvs, got ${uvs.length} numbers, expected ${2 * from.cornerCount}`,
      {},
    );
  const isSeam = seamMask(from, seams ?? []);
  if (hasSameFaces(from, to)) {
    return {
      isExact: true,
      seams,
      uvs: uvs && Float64Array.from(uvs),
      lostEdges: [],
      unmatchedFaces: [],
      doubtfulFaces: [],
      notes: [],
    };
  }
  const tolerance = share * from.diagonal;
  const carriedSeams = seams && carrySeams(from, seams, to, new NearestSurface(to), tolerance);
  const faceCharts = uvs && seams ? cutMesh(from, isSeam).faceCharts : uvs && uvCharts(from, uvs);
  const carriedUvs =
    uvs && faceCharts && carryUvs(from, uvs, faceCharts, to, new NearestSurface(from), tolerance);
  const lostEdges = carriedSeams?.lostEdges ?? [];
  const unmatchedFaces = carriedUvs?.unmatchedFaces ?? [];
  const doubtfulFaces = carriedUvs?.doubtfulFaces ?? [];
  const notes: string[] = [];
  if (lostEdges.length > 0) {
    const count = new Set(lostEdges.map(({ seam }) => seam)).size;
    notes.push(
      `${plural(lostEdges.length, 'edge')} of ${plural(count, 'seam')} found no place on the new mesh`,
    );
  }
  if (unmatchedFaces.length > 0)
    notes.push(
      `${plural(unmatchedFaces.length, 'face')} of the new mesh ${unmatchedFaces.length === 1 ? 'lies' : 'lie'} too far from the old surface to take UVs`,
    );
  if (doubtfulFaces.length > 0)
    notes.push(
      `${plural(doubtfulFaces.length, 'face')} took UVs that are turned over or far off in size, as happens across a seam`,
    );
  return {
    isExact: false,
    seams: carriedSeams?.seams,
    uvs: carriedUvs?.uvs,
    lostEdges,
    unmatchedFaces,
    doubtfulFaces,
    notes,
  };
}

function hasSameFaces(a: Mesh, b: Mesh): boolean {
  return (
    a.pointCount === b.pointCount &&
    a.faceCount === b.faceCount &&
    a.cornerCount === b.cornerCount &&
    a.faceOffsets.every((offset, f) => offset === b.faceOffsets[f]) &&
    a.cornerPoints.every((point, c) => point === b.cornerPoints[c])
  );
}

/** Charts that UVs hold together: neighbours that share both UVs of their edge. */
function uvCharts(mesh: Mesh, uvs: ArrayLike<number>): Int32Array {
  const sets = new DisjointSet(mesh.faceCount);
  const isSame = (a: number, b: number) => uvs[2 * a] === uvs[2 * b] && uvs[2 * a + 1] === uvs[2 * b + 1];
  for (let h = 0; h < mesh.cornerCount; h++) {
    const t = mesh.twin[h]!;
    if (t >= 0 && isSame(h, mesh.next[t]!) && isSame(mesh.next[h]!, t))
      sets.union(mesh.cornerFaces[h]!, mesh.cornerFaces[t]!);
  }
  return Int32Array.from({ length: mesh.faceCount }, (_, f) => sets.find(f));
}

function plural(count: number, noun: string): string {
  return count === 1 ? `1 ${noun}` : `${count} ${noun}s`;
}
