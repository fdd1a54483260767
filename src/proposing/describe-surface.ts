import type { Mesh } from '../mesh/index.js';
import type { Part } from '../regions/index.js';
import type { ProposeOptions } from './propose-options.js';
import { surveyMesh } from './survey-mesh.js';

/** What a proposal took the surface for. */
export interface SurfaceFacts {
  readonly parts: readonly Pick<Part, 'name' | 'side' | 'digit'>[];
  /** Index into `parts` of each of the caller's faces. */
  readonly faceParts: Int32Array;
  /** How much of the viewpoints' weight sees each face, 0..1. */
  readonly faceExposure: Float64Array;
}

/** Parts and exposure that a proposal with these options rests on; straight after it, at no further cost. */
export function describeSurface(mesh: Mesh, options: ProposeOptions = {}): SurfaceFacts {
  const { canonical, parts, faceExposure } = surveyMesh(mesh, options);
  const facts = {
    parts: parts.parts.map(({ name, side, digit }) => ({ name, side, digit })),
    faceParts: new Int32Array(mesh.faceCount),
    faceExposure: new Float64Array(mesh.faceCount),
  };
  canonical.faces.forEach((f, i) => {
    facts.faceParts[f] = parts.faceParts[i]!;
    facts.faceExposure[f] = faceExposure[i]!;
  });
  return facts;
}
