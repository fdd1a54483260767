import { InvalidMeshError } from '../errors.js';
import { DisjointSet } from '../structures/index.js';
import { checkInput } from './check-input.js';
import { findInsideOut } from './find-inside-out.js';
import { computeFaceGeometry } from './geometry.js';
import { layerRepeats } from './layer-repeats.js';
import type { Mesh, MeshInput, Repair, RepairKind } from './mesh.js';
import { numberEdges } from './number-edges.js';
import { findFans, pairHalfEdges } from './pair-half-edges.js';
import { weldPoints } from './weld-points.js';

export interface BuildOptions {
  /**
   * Points closer than this share of the bounding box's diagonal are joined in the topology (never in
   * what is returned). 0 turns welding off. Range 0..0.01.
   * @defaultValue 1e-7
   */
  readonly weldTolerance?: number;
}

export const BUILD_DEFAULTS: Readonly<Required<BuildOptions>> = Object.freeze({ weldTolerance: 1e-7 });

/**
 * Builds the half-edge topology of an n-gon mesh, repairing and reporting what can be repaired.
 *
 * @param input - OpenUSD mesh arrays; copied, never changed.
 * @throws MESH_EMPTY, MESH_ARRAY_LENGTH, MESH_INDEX_RANGE, MESH_POINT_NOT_FINITE, MESH_FACE_TOO_SMALL,
 * MESH_REPEATED_CORNER, MESH_NO_AREA
 *
 * O(n log n) in the number of corners.
 */
export function buildMesh(input: MeshInput, options: BuildOptions = {}): Mesh {
  checkInput(input);
  const points = Float64Array.from(input.points);
  const cornerPoints = Int32Array.from(input.faceVertexIndices);
  const pointCount = points.length / 3;
  const faceCount = input.faceVertexCounts.length;
  const cornerCount = cornerPoints.length;
  const faceOffsets = new Int32Array(faceCount + 1);
  for (let f = 0; f < faceCount; f++) faceOffsets[f + 1] = faceOffsets[f]! + input.faceVertexCounts[f]!;
  const cornerFaces = new Int32Array(cornerCount);
  for (let f = 0; f < faceCount; f++) cornerFaces.fill(f, faceOffsets[f]!, faceOffsets[f + 1]!);

  const repairs: Repair[] = [];
  const report = (
    kind: RepairKind,
    element: Repair['element'],
    elements: readonly number[],
    message: string,
  ) => {
    if (elements.length > 0) repairs.push({ kind, element, elements, message });
  };

  const isUsed = new Uint8Array(pointCount);
  for (let c = 0; c < cornerCount; c++) isUsed[cornerPoints[c]!] = 1;
  const unused = listWhere(pointCount, (p) => isUsed[p] === 0);
  report(
    'unused-point',
    'point',
    unused,
    `${unused.length} points belong to no face; they are kept and ignored`,
  );

  const diagonal = measureDiagonal(points, isUsed);
  const geometry = computeFaceGeometry({
    points,
    cornerPoints,
    faceOffsets,
    faceCount,
    faceFlipped: new Uint8Array(faceCount),
  });
  const { faceAreas } = geometry;
  if (!faceAreas.some((area) => area > 0)) {
    throw new InvalidMeshError(
      'MESH_NO_AREA',
      'buildMesh: every face has zero area, expected at least one with area',
    );
  }
  const flat = listWhere(faceCount, (f) => faceAreas[f]! <= 1e-14 * diagonal * diagonal);
  report(
    'zero-area-face',
    'face',
    flat,
    `${flat.length} faces have no area; they are carried along in the chart they lie in`,
  );

  const weldTolerance = options.weldTolerance ?? BUILD_DEFAULTS.weldTolerance;
  const weldedPoints = weldPoints(points, isUsed, weldTolerance * diagonal);
  const welded = listWhere(pointCount, (p) => weldedPoints[p] !== p);
  report(
    'welded-points',
    'point',
    welded,
    `${welded.length} points coincide with another and are treated as one with it`,
  );

  // A class per corner. Faces that cannot take part, and what repeats others, get classes of their own.
  const cornerClasses = new Int32Array(cornerCount);
  for (let c = 0; c < cornerCount; c++) cornerClasses[c] = weldedPoints[cornerPoints[c]!]!;
  const collapsed = listWhere(faceCount, (f) => {
    const classes = cornerClasses.subarray(faceOffsets[f]!, faceOffsets[f + 1]!);
    return new Set(classes).size < classes.length;
  });
  report(
    'collapsed-face',
    'face',
    collapsed,
    `${collapsed.length} faces have corners that coincide; each is a shell of its own`,
  );
  let classCount = pointCount;
  for (const f of collapsed)
    for (let c = faceOffsets[f]!; c < faceOffsets[f + 1]!; c++) cornerClasses[c] = classCount++;
  const { layers, isRepeated } = layerRepeats(faceOffsets, cornerClasses, classCount);
  const layerClasses = new Map<number, number>();
  for (let c = 0; c < cornerCount; c++) {
    const layer = layers[cornerFaces[c]!]!;
    if (layer === 0) continue;
    const key = layer * classCount + cornerClasses[c]!;
    if (!layerClasses.has(key)) layerClasses.set(key, classCount + layerClasses.size);
    cornerClasses[c] = layerClasses.get(key)!;
  }
  const repeats = listWhere(faceCount, (f) => layers[f]! > 0);
  report(
    'duplicate-face',
    'face',
    repeats,
    `${repeats.length} faces repeat another; they are sheets of their own`,
  );

  const pairing = pairHalfEdges({ faceOffsets, cornerFaces, cornerClasses, faceAreas, isRepeated });
  const { mates, faceFlipped } = pairing;
  const successor = (c: number) =>
    c + 1 === faceOffsets[cornerFaces[c]! + 1]! ? faceOffsets[cornerFaces[c]!]! : c + 1;
  const edgePoints = (corners: readonly number[]) =>
    corners.flatMap((c) => [cornerPoints[c]!, cornerPoints[successor(c)]!]);
  report(
    'non-manifold-edge',
    'edge',
    edgePoints(pairing.nonManifold),
    `${pairing.nonManifold.length} face sides lie on edges of three faces or more; these edges are treated as cut`,
  );
  report(
    'one-sided-loop',
    'edge',
    edgePoints(pairing.oneSided),
    `${pairing.oneSided.length} edges close a one-sided loop; they are treated as cut`,
  );
  const shells = new DisjointSet(faceCount);
  for (let c = 0; c < cornerCount; c++)
    if (mates[c]! >= 0) shells.union(cornerFaces[c]!, cornerFaces[mates[c]!]!);
  const { labels: faceShells, count: shellCount } = shells.labels();
  const isInsideOut = findInsideOut(
    { points, faceOffsets, cornerPoints, faceFlipped, faceShells, shellCount, mates },
    geometry,
  );
  const turnedAreas = new Float64Array(shellCount);
  for (let f = 0; f < faceCount; f++) {
    faceFlipped[f]! ^= isInsideOut[faceShells[f]!]!;
    turnedAreas[faceShells[f]!]! += faceFlipped[f] ? faceAreas[f]! : -faceAreas[f]! * (1 + 1e-9);
  }
  const listTurned = (isMost: boolean) =>
    listWhere(faceCount, (f) => faceFlipped[f] === 1 && turnedAreas[faceShells[f]!]! > 0 === isMost);
  const against = listTurned(false);
  report(
    'flipped-neighbour',
    'face',
    against,
    `${against.length} faces run against their neighbours; they are turned in the topology only`,
  );
  const inwards = listTurned(true);
  report(
    'inside-out',
    'face',
    inwards,
    `${inwards.length} faces look inwards; they are turned in the topology only`,
  );

  const next = new Int32Array(cornerCount);
  const prev = new Int32Array(cornerCount);
  const twin = new Int32Array(cornerCount).fill(-1);
  for (let c = 0; c < cornerCount; c++) {
    const s = successor(c);
    if (faceFlipped[cornerFaces[c]!]) {
      next[s] = c;
      prev[c] = s;
    } else {
      next[c] = s;
      prev[s] = c;
    }
  }
  // The half-edge of a turned face's side leaves the side's far corner.
  const halfEdgeOf = (c: number) => (faceFlipped[cornerFaces[c]!] ? successor(c) : c);
  for (let c = 0; c < cornerCount; c++) if (mates[c]! >= 0) twin[halfEdgeOf(c)] = halfEdgeOf(mates[c]!);

  const { labels: cornerVertices, count: vertexCount } = findFans(twin, next);
  // Where an edge was opened above, its ends come apart too; that is said there.
  const openedClasses = new Set(
    [...pairing.nonManifold, ...pairing.oneSided].flatMap((c) => [
      cornerClasses[c]!,
      cornerClasses[successor(c)]!,
    ]),
  );
  const vertexPoints = new Int32Array(vertexCount).fill(pointCount);
  for (let c = 0; c < cornerCount; c++) {
    const v = cornerVertices[c]!;
    if (cornerPoints[c]! < vertexPoints[v]!) vertexPoints[v] = cornerPoints[c]!;
  }
  report(
    'pinched-vertex',
    'point',
    pinchedPoints({ cornerClasses, cornerVertices, cornerPoints, pointCount }, openedClasses),
    'some faces touch only at a point; the surface is treated as cut there',
  );

  return {
    points,
    pointCount,
    faceCount,
    cornerCount,
    vertexCount,
    ...numberEdges(twin, cornerVertices, vertexCount),
    shellCount,
    faceOffsets,
    cornerPoints,
    cornerVertices,
    cornerFaces,
    next,
    prev,
    twin,
    vertexPoints,
    faceShells,
    faceFlipped,
    repairs,
    diagonal,
  };
}

function measureDiagonal(points: Float64Array, isUsed: Uint8Array): number {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let p = 0; p < isUsed.length; p++) {
    if (!isUsed[p]) continue;
    for (let k = 0; k < 3; k++) {
      low[k] = Math.min(low[k]!, points[3 * p + k]!);
      high[k] = Math.max(high[k]!, points[3 * p + k]!);
    }
  }
  return Math.hypot(high[0]! - low[0]!, high[1]! - low[1]!, high[2]! - low[2]!);
}

function listWhere(count: number, isWanted: (i: number) => boolean): number[] {
  const list: number[] = [];
  for (let i = 0; i < count; i++) if (isWanted(i)) list.push(i);
  return list;
}

/** Points whose faces form more than one fan although they were not detached, beside the classes to skip. */
function pinchedPoints(
  corners: {
    readonly cornerClasses: Int32Array;
    readonly cornerVertices: Int32Array;
    readonly cornerPoints: Int32Array;
    readonly pointCount: number;
  },
  skippedClasses: ReadonlySet<number>,
): number[] {
  const { cornerClasses, cornerVertices, cornerPoints, pointCount } = corners;
  const firstVertex = new Int32Array(pointCount).fill(-1);
  const pinched = new Set<number>();
  for (let c = 0; c < cornerClasses.length; c++) {
    const group = cornerClasses[c]!;
    if (group >= pointCount || skippedClasses.has(group)) continue;
    if (firstVertex[group]! < 0) firstVertex[group] = cornerVertices[c]!;
    else if (firstVertex[group] !== cornerVertices[c]) pinched.add(cornerPoints[c]!);
  }
  return [...pinched].sort((a, b) => a - b);
}
