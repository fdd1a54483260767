import type { Viewpoints } from '../fields/index.js';
import { computeExposures } from '../fields/index.js';
import type { Vec3 } from '../math/index.js';
import { cross, dot, normalize } from '../math/index.js';
import type { CanonicalMesh, Mesh } from '../mesh/index.js';
import { canonicalMesh } from '../mesh/index.js';
import type { ProposeOptions } from './propose-options.js';
import { PROPOSE_DEFAULTS } from './propose-options.js';

/** What of a proposal's options its exposures depend on; plain data, so that it can go to another thread. */
export interface ExposureWishes extends Required<Pick<ProposeOptions, 'up' | 'front' | 'viewpoints'>> {
  readonly coveredFaces: readonly number[];
}

/** How much of a canonical mesh is seen, 0..1. */
export interface SurfaceExposures {
  readonly edges: Float64Array;
  /** From the front. */
  readonly frontEdges: Float64Array;
  readonly faces: Float64Array;
}

export function exposureWishes({ up, front, viewpoints, hints }: ProposeOptions): ExposureWishes {
  return {
    up: up ?? PROPOSE_DEFAULTS.up,
    front: front ?? PROPOSE_DEFAULTS.front,
    viewpoints: viewpoints ?? PROPOSE_DEFAULTS.viewpoints,
    coveredFaces: [...(hints?.coveredFaces ?? [])],
  };
}

/** Exposures as a survey has them. */
export function exposeSurface(source: Mesh, wishes: ExposureWishes): SurfaceExposures {
  return exposeCanonical(source, canonicalMesh(source, wishes.up, wishes.front), wishes);
}

/** The same on a canonical copy that is there already. */
export function exposeCanonical(
  source: Mesh,
  canonical: CanonicalMesh,
  { up, front, viewpoints, coveredFaces }: ExposureWishes,
): SurfaceExposures {
  const isCovered = markCovered(source, canonical, coveredFaces);
  const [all, ahead] = computeExposures(
    canonical.mesh,
    [turnViewpoints(viewpoints, up, front), 'front'],
    isCovered ? { coveredFaces: isCovered } : {},
  );
  return { edges: all!.edgeExposure, frontEdges: ahead!.edgeExposure, faces: all!.faceExposure };
}

function markCovered(
  source: Mesh,
  canonical: CanonicalMesh,
  faces: readonly number[],
): Uint8Array | undefined {
  if (faces.length === 0) return undefined;
  const isCovered = new Uint8Array(source.faceCount);
  for (const f of faces) isCovered[f] = 1;
  return Uint8Array.from(canonical.faces, (f) => isCovered[f]!);
}

function turnViewpoints(viewpoints: Viewpoints, up: Vec3, front: Vec3): Viewpoints {
  if (typeof viewpoints === 'string') return viewpoints;
  const y = normalize(up);
  const x = normalize(cross(y, front));
  const z = cross(x, y);
  return viewpoints.map((v) => ({
    ...v,
    direction: [dot(v.direction, x), dot(v.direction, y), dot(v.direction, z)],
  }));
}
