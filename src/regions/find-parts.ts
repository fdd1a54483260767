import { throwIfAborted } from '../errors.js';
import type { AxisOptions, Mirror } from '../fields/index.js';
import { buildAxisFrame, computeCurvature, findMirror } from '../fields/index.js';
import type { Mesh } from '../mesh/index.js';
import { computeEdgeLengths, computeFaceGeometry, requireMesh } from '../mesh/index.js';
import { analyseShell } from './analyse-shell.js';
import { describeParts } from './describe-parts.js';
import type { Draft } from './draft.js';
import { draftCore } from './draft.js';
import type { PanelInputs } from './find-panels.js';
import { findPanels, isHardSurface } from './find-panels.js';
import { labelFaces } from './label-faces.js';
import { mirrorParts } from './mirror-parts.js';
import { nameEyes } from './name-eyes.js';
import type { PartTree } from './part.js';
import type { WorkSurface } from './work-surface.js';

export interface PartOptions extends AxisOptions {
  /**
   * `limbs` keeps arms and legs whole up to hand and foot; `joints` also parts them at elbow and knee.
   * @defaultValue 'limbs'
   */
  readonly detail?: 'limbs' | 'joints';
  /**
   * The model's mirror, if known; `null` for none. Where it is left out it is looked for.
   * @defaultValue found by findMirror
   */
  readonly mirror?: Mirror | null;
  /** Ends the search at the next shell. */
  readonly signal?: AbortSignal;
  /** Called with the share of the surface that is done, 0..1, before each shell. */
  readonly onProgress?: (share: number) => void;
}

export const PART_DEFAULTS = Object.freeze({ detail: 'limbs' as const });

/** Shells below this share of the surface are taken whole. */
const SMALLEST_SHELL = 0.01;
/** So are shells of fewer faces. */
const FEWEST_FACES = 24;

/**
 * Finds the parts of a character: trunk, head, limbs down to fingers and toes, tail, ears, horns, pockets of
 * the face, eyeballs; on hard-surface shells the panels between creases.
 *
 * Tips are maxima of the mean distance along the surface; each is followed inwards until the front widens for
 * good, small pieces first. Distances along the surface do not care how a limb is bent, so the pose has little
 * say; up and front decide names and sides only. Where the surface is mirrored, so are the parts.
 *
 * @returns a part per face and the parts, each shell's core before what grows from it
 * @throws OPTION_INVALID, CANCELLED
 *
 * About n log n; dense shells are searched at a bounded resolution.
 *
 * @example
 * const { faceParts, parts } = findParts(mesh, { up: [0, 1, 0], front: [0, 0, 1] });
 * const hands = parts.filter((part) => part.name === 'hand');
 */
export function findParts(mesh: Mesh, options: PartOptions = {}): PartTree {
  requireMesh(mesh, 'findParts');
  const frame = buildAxisFrame(options);
  const { faceAreas } = computeFaceGeometry(mesh);
  const { edgeDihedrals, edgeConcavity } = computeCurvature(mesh);
  const edgeLengths = computeEdgeLengths(mesh);
  const inputs: PanelInputs = { edgeDihedrals, edgeLengths, faceAreas };
  const shells = groupShells(mesh, faceAreas);
  const total = faceAreas.reduce((sum, area) => sum + area, 0);
  const faceParts = new Int32Array(mesh.faceCount);
  const drafts: Draft[] = [];
  let done = 0;
  for (const { shell, faces, area } of shells) {
    options.onProgress?.(done);
    throwIfAborted(options.signal);
    done += total > 0 ? area / total : 0;
    const first = drafts.length;
    if (!(area >= SMALLEST_SHELL * total) || area === 0 || faces.length < FEWEST_FACES) {
      drafts.push(draftCore(shell));
      for (const f of faces) faceParts[f] = first;
      continue;
    }
    const found = analyseShell(mesh, faces, shell, {
      frame,
      hasJoints: options.detail === 'joints',
      share: area / total,
    });
    const isNamed = found.drafts[0]!.name !== 'core';
    if (!isNamed && isHardSurface(mesh, faces, inputs)) {
      const { panels, count } = findPanels(mesh, faces, inputs);
      for (let i = 0; i < count; i++) drafts.push({ ...draftCore(shell), name: 'panel', confidence: 0.6 });
      faces.forEach((f, i) => {
        faceParts[f] = first + panels[i]!;
      });
      continue;
    }
    const faceRegions = new Int32Array(mesh.faceCount);
    labelFaces(mesh, faces, found.surface, { edgeLengths, edgeConcavity }, found.regions, faceRegions);
    const owners = mapOwners(mesh, found.surface);
    const { names, kept } = dropEmpty(
      found.drafts,
      faces.map((f) => faceRegions[f]!),
    );
    for (const f of faces) faceParts[f] = first + names[faceRegions[f]!]!;
    for (const draft of kept) {
      if (draft.parent >= 0) draft.parent += first;
      if (draft.partner >= 0) draft.partner += first;
      if (draft.tip >= 0) draft.tip = nearestMeshVertex(found.surface, owners, draft.tip);
      drafts.push(draft);
    }
  }
  nameEyes(mesh, shells, faceParts, drafts);
  const mirror = options.mirror === undefined ? findMirror(mesh, options) : options.mirror;
  if (mirror) mirrorParts(mesh, mirror, faceAreas, faceParts, drafts);
  // What was found on one side only is replaced by the other side's image.
  const { names, kept } = dropEmpty(drafts, faceParts);
  const keptParts = faceParts.map((part) => names[part]!);
  return { faceParts: keptParts, parts: describeParts(mesh, faceAreas, keptParts, kept, frame) };
}

interface Shell {
  readonly shell: number;
  readonly faces: Int32Array;
  readonly area: number;
}

function groupShells(mesh: Mesh, faceAreas: Float64Array): Shell[] {
  const lists: number[][] = Array.from({ length: mesh.shellCount }, () => []);
  const areas = new Float64Array(mesh.shellCount);
  for (let f = 0; f < mesh.faceCount; f++) {
    lists[mesh.faceShells[f]!]!.push(f);
    areas[mesh.faceShells[f]!]! += faceAreas[f]!;
  }
  return lists.map((faces, shell) => ({ shell, faces: Int32Array.from(faces), area: areas[shell]! }));
}

/** Leaves out drafts that no face is of; what grew from them grows from their parents. */
function dropEmpty(drafts: readonly Draft[], faceDrafts: Int32Array) {
  const isUsed = new Uint8Array(drafts.length);
  isUsed[0] = 1;
  for (const draft of faceDrafts) isUsed[draft] = 1;
  const names = new Int32Array(drafts.length).fill(-1);
  const kept: Draft[] = [];
  drafts.forEach((draft, i) => {
    if (isUsed[i]) names[i] = kept.push(draft) - 1;
  });
  for (const draft of kept) {
    while (draft.parent >= 0 && !isUsed[draft.parent]) draft.parent = drafts[draft.parent]!.parent;
    if (draft.parent >= 0) draft.parent = names[draft.parent]!;
    if (draft.partner >= 0) draft.partner = names[draft.partner]!;
  }
  return { names, kept };
}

/** Of the mesh's vertices that each work vertex stands for, the one nearest to it; -1 where it came from splitting. */
function mapOwners(mesh: Mesh, surface: WorkSurface): Int32Array {
  const { nearest, meshVertices, positions, vertexCount } = surface;
  const owners = new Int32Array(vertexCount).fill(-1);
  const least = new Float64Array(vertexCount).fill(Infinity);
  const at = (v: number, k: number) => mesh.points[3 * mesh.vertexPoints[v]! + k]!;
  // Ties go by position, as the vertices' own numbers must have no say.
  const isBefore = (a: number, b: number) => {
    for (let k = 0; k < 3; k++) if (at(a, k) !== at(b, k)) return at(a, k) < at(b, k);
    return false;
  };
  for (let i = 0; i < nearest.length; i++) {
    const v = nearest[i]!;
    const own = meshVertices[i]!;
    let distance = 0;
    for (let k = 0; k < 3; k++) distance += (at(own, k) - positions[3 * v + k]!) ** 2;
    if (distance > least[v]! || (distance === least[v] && !isBefore(own, owners[v]!))) continue;
    least[v] = distance;
    owners[v] = own;
  }
  return owners;
}

/** The mesh's own vertex nearest to a work vertex, which may have come from splitting. */
function nearestMeshVertex(surface: WorkSurface, owners: Int32Array, tip: number): number {
  const { neighbourOffsets, neighbours } = surface;
  const seen = new Set([tip]);
  for (let ring = [tip]; ring.length > 0; ) {
    for (const v of ring) {
      if (owners[v]! >= 0) return owners[v]!;
    }
    const next = new Set<number>();
    for (const v of ring)
      for (let i = neighbourOffsets[v]!; i < neighbourOffsets[v + 1]!; i++)
        if (!seen.has(neighbours[i]!)) next.add(neighbours[i]!);
    for (const v of next) seen.add(v);
    ring = [...next].sort((a, b) => a - b);
  }
  return -1;
}
