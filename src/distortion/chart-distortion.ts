/** How far a chart's UVs are from an isometry. σ1 ≥ σ2 are the singular values of the surface-to-UV map. */
export interface ChartDistortion {
  /** Area in space, squared model units. */
  readonly surfaceArea: number;
  /** Signed area in UV; negative for a mirrored chart. */
  readonly uvArea: number;
  /** Area-weighted mean of σ1² + σ1⁻² + σ2² + σ2⁻² at the chart's best scale; an isometry has 4. */
  readonly energy: number;
  /** The same at the scale given. */
  readonly energyAsGiven: number;
  /** Factor on the UVs that makes the energy least. */
  readonly bestScale: number;
  /** L2 stretch of the UV-to-surface map (Sander et al. 2001), over that of an even scale; an isometry has 1. */
  readonly stretchL2: number;
  /** L∞ stretch: the greatest 1/σ2, over that of an even scale. */
  readonly stretchLinf: number;
  /** Area-weighted mean of σ1/σ2; a conformal map has 1. */
  readonly quasiConformal: number;
  /** Area-weighted mean of max(s, 1/s), s the area ratio over its mean; an equal-area map has 1. */
  readonly areaError: number;
  /** Area-weighted mean over the faces of the greatest change of a corner's angle, radians. */
  readonly angleError: number;
  /** Local faces turned against the chart. */
  readonly flippedFaces: readonly number[];
  /** Local faces with area in space and none in UV. */
  readonly degenerateFaces: readonly number[];
  readonly isMirrored: boolean;
  /** Root-mean-square σ1 and σ2 over each local face, at the scale given. */
  readonly faceSigma1: Float64Array;
  readonly faceSigma2: Float64Array;
  readonly faceAreas: Float64Array;
}
