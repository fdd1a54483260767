import type { EdgeId, Mesh } from '../mesh/index.js';
import { edgeFaces, edgeLength, edgeVertices } from '../mesh/index.js';
import type { SeamGround } from '../seams/index.js';
import { COST_WEIGHTS, computeEdgeCosts } from '../seams/index.js';
import { placeHints, routeWaypoints } from './apply-hints.js';
import type { Conflict } from './proposal.js';
import type { ProposeOptions } from './propose-options.js';
import type { Survey } from './survey-mesh.js';
import { evenOut, surveyMesh } from './survey-mesh.js';

/** All that is known of a mesh, and what the artist wants, before seams are drawn. */
export interface Study extends Survey {
  readonly ground: SeamGround;
  /** Edges the artist wants cut, on both sides where the mesh is mirrored. */
  readonly kept: readonly EdgeId[];
  /** 1 per edge the artist wants left whole. */
  readonly isAvoided: Uint8Array;
  readonly conflicts: readonly Conflict[];
}

/** Adds hints and weights to what is known of the mesh. */
export function studyMesh(source: Mesh, options: ProposeOptions): Study {
  const survey = surveyMesh(source, options);
  const { canonical, mesh, mirror, exposure, frontExposure, concavity, cornerAngles } = survey;
  const costs = computeEdgeCosts(
    mesh,
    { exposure, frontExposure, concavity, edgeFactors: featureFactors(survey) },
    { ...COST_WEIGHTS, ...options.profile },
  );
  const hints = placeHints(source, canonical, options.hints ?? {});
  for (let e = 0; e < costs.length; e++) costs[e]! *= hints.edgeFactors[e]!;
  const ground: SeamGround = {
    mesh,
    mirror,
    edgeCosts: mirror ? evenOut(costs, mirror) : costs,
    cornerAngles,
    frames: survey.frames,
    memory: survey.memory,
  };
  const routes = routeWaypoints(source, canonical, ground, options.hints?.waypoints ?? []);
  const kept = new Set([...hints.kept, ...routes.edges]);
  for (const e of mirror ? [...kept] : []) {
    const partner = mirror!.edgePartners[e]!;
    // What was asked for on one side only does not weigh more than what was to be avoided on the other.
    if (partner >= 0 && !hints.isAvoided[partner]) kept.add(partner);
  }
  return {
    ...survey,
    ground,
    kept: [...kept].sort((a, b) => a - b),
    isAvoided: hints.isAvoided,
    conflicts: routes.conflicts,
  };
}

/** How much dearer a seam is across the side of head and torso that is looked at first. */
const SHOWN_FACTOR = 5;
/** How much dearer a seam is that runs beside the mirror plane instead of on it, and how near that is. */
const BESIDE_PLANE_FACTOR = 2.5;
const BESIDE_PLANE_REACH = 0.03;

/** How much dearer a seam is along an edge without a mirror image, on a body that has one. */
const LONE_FACTOR = 2;

/** How much dearer a seam is down the front of a shell of its own to one side, as a boot or a sleeve. */
const SIDE_SHELL_FACTOR = 2;

/**
 * Factors of edges where seams are out of place, whoever sees them: the face, the front of boots and sleeves, and close
 * beside the centre line.
 */
function featureFactors({
  mesh,
  faceNormals,
  parts,
  posture: { isShown, heading },
  mirror,
}: Survey): Float64Array {
  const factors = new Float64Array(mesh.edgeCount).fill(1);
  const isSideShell = parts.parts.map(({ name, side }) => name === 'core' && side !== 'centre');
  for (let e = 0; e < mesh.edgeCount; e++) {
    const [f, g] = edgeFaces(mesh, e);
    if (isShown[f] || (g >= 0 && isShown[g])) factors[e]! *= SHOWN_FACTOR;
    const facing = Math.max(0, heading * faceNormals[3 * f + 2]!);
    if (isSideShell[parts.faceParts[f]!]) factors[e]! *= 1 + (SIDE_SHELL_FACTOR - 1) * facing;
    if (!mirror) continue;
    if (mirror.edgePartners[e]! < 0) factors[e]! *= LONE_FACTOR;
    const [a, b] = edgeVertices(mesh, e);
    if (mirror.vertexPartners[a] === a && mirror.vertexPartners[b] === b) continue;
    const xa = Math.abs(mesh.points[3 * mesh.vertexPoints[a]!]!);
    const xb = Math.abs(mesh.points[3 * mesh.vertexPoints[b]!]!);
    const nearness = 1 - (xa + xb) / 2 / BESIDE_PLANE_REACH;
    if (nearness > 0 && Math.abs(xa - xb) < 0.5 * edgeLength(mesh, e))
      factors[e]! *= 1 + (BESIDE_PLANE_FACTOR - 1) * nearness;
  }
  return factors;
}

/**
 * The ground on which seams down the body's sides are drawn: what looks forwards or backwards is dearer there, on a
 * prone one what looks up or down.
 */
export function sideGround(study: Study): SeamGround {
  const { mesh, faceNormals, parts, ground, posture } = study;
  const axis = posture.isProne ? 1 : 2;
  const edgeCosts = ground.edgeCosts.map((cost, e) => {
    const [f, g] = edgeFaces(mesh, e);
    if (parts.parts[parts.faceParts[f]!]!.name !== 'torso') return cost;
    const facing = Math.abs(faceNormals[3 * f + axis]! + faceNormals[3 * (g < 0 ? f : g) + axis]!) / 2;
    return cost * (1 + SIDEWAYS_FACTOR * facing * facing);
  });
  return { ...ground, edgeCosts };
}

const SIDEWAYS_FACTOR = 3;
