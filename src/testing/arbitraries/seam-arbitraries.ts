import type { Mesh, MeshInput, PointId } from '../../mesh/index.js';
import { buildMesh, edgePoints } from '../../mesh/index.js';
import { DisjointSet } from '../../structures/index.js';
import { seededRandom } from '../seeded-random.js';
import type { Arbitrary, FastCheck } from './fast-check.js';

/** Seams and charts by the caller's indices: the least that the library's functions take as a set. */
export interface SeamSetCase {
  readonly seams: readonly { readonly edges: readonly (readonly [PointId, PointId])[] }[];
  readonly charts: readonly { readonly faces: Int32Array }[];
}

/** Hints for a proposal, by the caller's indices; `keep` and `avoid` never name the same edge. */
export interface HintsCase {
  readonly keep: readonly (readonly [PointId, PointId])[];
  readonly avoid: readonly (readonly [PointId, PointId])[];
  readonly avoidFaces: readonly number[];
  readonly faceGroups: readonly (readonly number[])[];
  readonly paint: Float64Array;
  readonly coveredFaces: readonly number[];
  /** Some charts of a set of `diskSeamSets`, with the seams of all. */
  readonly settled: {
    readonly faces: readonly number[];
    readonly edges: readonly (readonly [PointId, PointId])[];
  };
  /** Chains of two points and more, each chain in one shell. */
  readonly waypoints: readonly (readonly PointId[])[];
  readonly pins: readonly (readonly PointId[])[];
  /** 0..180. */
  readonly hardEdgeAngle: number;
}

/**
 * Seam sets of a mesh that leave disks only: the faces grow together along a random tree over their
 * neighbours, cut into a random number of pieces; all edges between faces that are not joined in the tree
 * are cut. Shrinks towards one piece per shell.
 */
export function diskSeamSets(fc: FastCheck, mesh: MeshInput | Mesh): Arbitrary<SeamSetCase> {
  const built = 'twin' in mesh ? mesh : buildMesh(mesh);
  return fc
    .tuple(
      fc.integer({ min: 0, max: 0x7fffffff }),
      fc.integer({ min: 0, max: Math.min(20, built.faceCount - 1) }),
    )
    .map(([seed, extraCuts]) => growDisks(built, seed, extraCuts));
}

/** Seam sets of any edges at all; their charts need be no disks. */
export function anySeamSets(fc: FastCheck, mesh: MeshInput | Mesh): Arbitrary<SeamSetCase> {
  const built = 'twin' in mesh ? mesh : buildMesh(mesh);
  return fc
    .uniqueArray(fc.integer({ min: 0, max: built.edgeCount - 1 }), {
      maxLength: Math.min(200, built.edgeCount),
    })
    .map((edges) => {
      const isSeam = new Uint8Array(built.edgeCount);
      for (const e of edges) isSeam[e] = 1;
      return describeSet(built, isSeam);
    });
}

/** Hints that a proposal for this mesh must take or report. */
export function hintSets(fc: FastCheck, mesh: MeshInput | Mesh): Arbitrary<HintsCase> {
  const built = 'twin' in mesh ? mesh : buildMesh(mesh);
  const edge = fc.integer({ min: 0, max: built.edgeCount - 1 });
  const faces = fc.uniqueArray(fc.integer({ min: 0, max: built.faceCount - 1 }), { maxLength: 12 });
  const chains = chainSets(fc, built);
  return fc
    .record({
      edges: fc.uniqueArray(edge, { maxLength: 16 }),
      kept: fc.integer({ min: 0, max: 16 }),
      avoidFaces: faces,
      coveredFaces: faces,
      group: faces,
      paintSeed: fc.option(fc.integer({ min: 1, max: 1000 }), { nil: 0 }),
      disks: diskSeamSets(fc, built),
      settledShare: fc.integer({ min: 0, max: 2 }),
      waypoints: chains,
      pins: chains,
      // Shrinks to the angle that no edge is sharper than.
      hardEdgeAngle: fc.integer({ min: 0, max: 180 }).map((degrees) => 180 - degrees),
    })
    .map(({ edges, kept, group, paintSeed, disks, settledShare, ...rest }) => {
      const random = seededRandom(paintSeed);
      const settled = disks.charts.slice(0, Math.floor((disks.charts.length * settledShare) / 3));
      return {
        ...rest,
        keep: edges.slice(0, kept).map((e) => edgePoints(built, e)),
        avoid: edges.slice(kept).map((e) => edgePoints(built, e)),
        faceGroups: group.length > 0 ? [group] : [],
        // Without a seed the paint is neutral.
        paint: Float64Array.from({ length: built.faceCount }, () => (paintSeed === 0 ? 0.5 : random.next())),
        settled: {
          faces: settled.flatMap(({ faces }) => [...faces]),
          edges: settled.length > 0 ? disks.seams.flatMap((seam) => seam.edges) : [],
        },
      };
    });
}

/** Up to three chains of points, each in one shell and without a point twice in a row. */
function chainSets(fc: FastCheck, mesh: Mesh): Arbitrary<PointId[][]> {
  const pointsByShell = Array.from({ length: mesh.shellCount }, () => new Map<number, PointId>());
  // One point for each vertex, as points that were welded are one place.
  for (let c = 0; c < mesh.cornerCount; c++) {
    const v = mesh.cornerVertices[c]!;
    pointsByShell[mesh.faceShells[mesh.cornerFaces[c]!]!]!.set(v, mesh.vertexPoints[v]!);
  }
  const lists = pointsByShell.map((points) => [...new Set(points.values())]);
  const chain = fc.integer({ min: 0, max: lists.length - 1 }).chain((shell) => {
    const points = lists[shell]!;
    return fc
      .uniqueArray(fc.integer({ min: 0, max: points.length - 1 }), { minLength: 2, maxLength: 4 })
      .map((places) => places.map((place) => points[place]!));
  });
  return fc.array(chain, { maxLength: 3 });
}

function growDisks(mesh: Mesh, seed: number, extraCuts: number): SeamSetCase {
  const random = seededRandom(seed);
  const isSeam = new Uint8Array(mesh.edgeCount).fill(1);
  const groups = new DisjointSet(mesh.faceCount);
  const tree: number[] = [];
  for (const e of random.permutation(mesh.edgeCount)) {
    const h = mesh.edgeHalfEdges[e]!;
    const t = mesh.twin[h]!;
    if (t >= 0 && groups.union(mesh.cornerFaces[h]!, mesh.cornerFaces[t]!)) tree.push(e);
  }
  for (const e of tree.slice(Math.min(extraCuts, tree.length))) isSeam[e] = 0;
  return describeSet(mesh, isSeam);
}

function describeSet(mesh: Mesh, isSeam: Uint8Array): SeamSetCase {
  const groups = new DisjointSet(mesh.faceCount);
  const edges: [PointId, PointId][] = [];
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const t = mesh.twin[h]!;
    if (isSeam[e]) edges.push(edgePoints(mesh, e));
    else if (t >= 0) groups.union(mesh.cornerFaces[h]!, mesh.cornerFaces[t]!);
  }
  const { labels, count } = groups.labels();
  const faces: number[][] = Array.from({ length: count }, () => []);
  labels.forEach((label, f) => {
    faces[label]!.push(f);
  });
  return {
    seams: edges.map((edge) => ({ edges: [edge] })),
    charts: faces.map((list) => ({ faces: Int32Array.from(list) })),
  };
}
