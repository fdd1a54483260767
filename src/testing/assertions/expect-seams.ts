import type { Vec3 } from '../../math/index.js';
import type { Mesh } from '../../mesh/index.js';
import { edgeLength, edgeVertices, seamMask, vertexPosition } from '../../mesh/index.js';
import { MeshAssertionError } from './assertion-error.js';
import type { SeamsLike } from './expect-charts.js';
import type { MeshLike } from './mesh-like.js';
import { asMesh } from './mesh-like.js';

export interface ExpectMirroredOptions {
  /** The point on the other side of each point; -1 for none. */
  readonly pointPartners: ArrayLike<number>;
  /**
   * Share of the seam length, of seams whose ends both have partners, that must be mirrored.
   * @defaultValue 1, range 0..1
   */
  readonly least?: number;
}

/** Asserts that the mirror image of every seam edge is a seam edge too. */
export function expectMirrored(
  mesh: MeshLike,
  set: SeamsLike,
  { pointPartners, least = 1 }: ExpectMirroredOptions,
): void {
  const built = asMesh(mesh);
  const isSeam = seamMask(built, set.seams);
  const ends = (e: number) => edgeVertices(built, e).map((v) => built.vertexPoints[v]!) as [number, number];
  const key = (a: number, b: number) => Math.min(a, b) * built.pointCount + Math.max(a, b);
  // Points that were welded stand for one another.
  const first = new Int32Array(built.pointCount).fill(-1);
  for (let c = 0; c < built.cornerCount; c++)
    first[built.cornerPoints[c]!] = built.vertexPoints[built.cornerVertices[c]!]!;
  const partner = (p: number) => (pointPartners[p]! < 0 ? -1 : first[pointPartners[p]!]!);
  const edges: { e: number; image: number }[] = [];
  const seams = new Set<number>();
  for (let e = 0; e < built.edgeCount; e++) {
    if (!isSeam[e]) continue;
    const [a, b] = ends(e);
    seams.add(key(a, b));
    if (partner(a) >= 0 && partner(b) >= 0) edges.push({ e, image: key(partner(a), partner(b)) });
  }
  let total = 0;
  let mirrored = 0;
  let missing: readonly [number, number] | undefined;
  for (const { e, image } of edges) {
    const length = edgeLength(built, e);
    total += length;
    if (seams.has(image)) mirrored += length;
    else missing ??= ends(e);
  }
  const share = total > 0 ? mirrored / total : 1;
  if (share >= least - 1e-12) return;
  throw new MeshAssertionError(
    'expectMirrored',
    `${(100 * share).toFixed(2)} % of the seam length is mirrored, expected at least ${(100 * least).toFixed(2)} %; the edge between points ${missing?.join(' and ')} has no seam across`,
    share,
    least,
  );
}

export interface ExpectSameSeamsOptions {
  /** Takes a position of the first mesh to where it lies in the second, such as a rotation. @defaultValue the same place */
  readonly map?: (p: Vec3) => Vec3;
  /** How near a position must be, as a share of the second mesh's diagonal. @defaultValue 1e-6 */
  readonly tolerance?: number;
  /** Share of the first mesh's seam length that must be found in the second, and the other way round. @defaultValue 1, range 0..1 */
  readonly least?: number;
}

/**
 * Asserts that two sets cut at the same places in space, whatever the order of points and faces: for models
 * shuffled, turned, moved or scaled.
 */
export function expectSameSeams(
  first: MeshLike,
  firstSet: SeamsLike,
  second: MeshLike,
  secondSet: SeamsLike,
  options: ExpectSameSeamsOptions = {},
): void {
  const { map = (p: Vec3) => p, tolerance = 1e-6, least = 1 } = options;
  const [a, b] = [asMesh(first), asMesh(second)];
  const distance = tolerance * b.diagonal;
  const places = new PlaceNames(distance);
  const listed = (mesh: Mesh, set: SeamsLike, move: (p: Vec3) => Vec3) => {
    const isSeam = seamMask(mesh, set.seams);
    const lengths = new Map<string, number>();
    for (let e = 0; e < mesh.edgeCount; e++) {
      if (!isSeam[e]) continue;
      const [p, q] = edgeVertices(mesh, e).map((v) => move(vertexPosition(mesh, v))) as [Vec3, Vec3];
      const [m, n] = [places.name(p), places.name(q)];
      lengths.set(m < n ? `${m} ${n}` : `${n} ${m}`, Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]));
    }
    return lengths;
  };
  // The second mesh's places are named first, so that the first one's are looked up among them.
  const inSecond = listed(b, secondSet, (p) => p);
  const inFirst = listed(a, firstSet, map);
  const shareFound = (wanted: Map<string, number>, among: Map<string, number>) => {
    let total = 0;
    let found = 0;
    for (const [edge, length] of wanted) {
      total += length;
      if (among.has(edge)) found += length;
    }
    return total > 0 ? found / total : 1;
  };
  const share = Math.min(shareFound(inFirst, inSecond), shareFound(inSecond, inFirst));
  if (share >= least - 1e-12) return;
  throw new MeshAssertionError(
    'expectSameSeams',
    `${(100 * share).toFixed(2)} % of the seam length lies in the same place (${inFirst.size} seam edges against ${inSecond.size}), expected at least ${(100 * least).toFixed(2)} %`,
    share,
    least,
  );
}

/** Numbers positions so that those within a distance of one already named get its number. */
class PlaceNames {
  readonly #cells = new Map<string, number[]>();
  readonly #positions: Vec3[] = [];
  readonly #distance: number;

  constructor(distance: number) {
    this.#distance = distance;
  }

  name(p: Vec3): number {
    const cell = p.map((x) => Math.floor(x / (2 * this.#distance))) as unknown as Vec3;
    for (let i = -1; i <= 1; i++)
      for (let j = -1; j <= 1; j++)
        for (let k = -1; k <= 1; k++)
          for (const place of this.#cells.get([cell[0] + i, cell[1] + j, cell[2] + k].join()) ?? []) {
            const q = this.#positions[place]!;
            if (Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]) <= this.#distance) return place;
          }
    const place = this.#positions.push(p) - 1;
    const list = this.#cells.get(cell.join());
    if (list) list.push(place);
    else this.#cells.set(cell.join(), [place]);
    return place;
  }
}
