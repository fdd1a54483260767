/**
 * Quadratic model of the symmetric Dirichlet energy round the present map. `newton`: the exact Hessian with
 * its negative eigenvalue removed in closed form (Smith, De Goes & Kim 2019); fast near the optimum. Leaving
 * it in while the matrix stays positive was measured to save no steps.
 * `reweighted`: the distance to the closest rotations, reweighted so that the gradient agrees (Rabinovich
 * et al. 2017); far better while triangles are still shrunk to a small part of their size.
 */
export type EnergyModel = 'newton' | 'reweighted';

/** What the functions below write: aa ab ac ad bb bc bd cc cd dd of the Hessian over Jacobians (a b; c d). */
export const hessian = new Float64Array(10);

/**
 * With n = |J|², δ = ∇det: 2 (1 + det⁻²) I − 4 det⁻³ (J δᵀ + δ Jᵀ) + 6 n det⁻⁴ δ δᵀ − 2 n det⁻³ ∇²det. Of its
 * eigenvalues only that of the twist (the rotation's derivative) can be negative: 2 − 2 (n − det) det⁻³.
 */
export function writeNewton(a: number, b: number, c: number, d: number, weight: number): void {
  const det = a * d - b * c;
  const norm = a * a + b * b + c * c + d * d;
  const inverse = 1 / det;
  const square = inverse * inverse;
  const cube = square * inverse;
  const plain = 2 * weight * (1 + square);
  const mixed = -4 * weight * cube;
  const steep = 6 * weight * norm * square * square;
  const crossed = -2 * weight * norm * cube;
  hessian[0] = plain + d * (2 * mixed * a + steep * d);
  hessian[1] = mixed * (b * d - a * c) - steep * c * d;
  hessian[2] = mixed * (c * d - a * b) - steep * b * d;
  hessian[3] = mixed * (d * d + a * a) + steep * a * d + crossed;
  hessian[4] = plain + c * (steep * c - 2 * mixed * b);
  hessian[5] = -mixed * (b * b + c * c) + steep * b * c - crossed;
  hessian[6] = mixed * (a * b - c * d) - steep * a * c;
  hessian[7] = plain + b * (steep * b - 2 * mixed * c);
  hessian[8] = mixed * (a * c - b * d) - steep * a * b;
  hessian[9] = plain + a * (steep * a + 2 * mixed * d);
  const twist = weight * (2 - 2 * (norm - det) * cube);
  if (twist >= 0) return;
  // Its direction: (−s, −c, c, −s)/√2, c and s the cosine and sine of the closest rotation.
  const e = a + d;
  const h = c - b;
  const raise = -twist / (2 * (e * e + h * h));
  const ee = raise * e * e;
  const hh = raise * h * h;
  const eh = raise * e * h;
  hessian[0]! += hh;
  hessian[1]! += eh;
  hessian[2]! -= eh;
  hessian[3]! += hh;
  hessian[4]! += ee;
  hessian[5]! -= ee;
  hessian[6]! += eh;
  hessian[7]! += ee;
  hessian[8]! -= eh;
  hessian[9]! += hh;
}

/** Twice the squared weights (σ³ + σ² + σ + 1)/σ³ along the left singular vectors, for both columns alike. */
export function writeReweighted(a: number, b: number, c: number, d: number, weight: number): void {
  const turnX = a + d;
  const turnY = c - b;
  const skewX = a - d;
  const skewY = b + c;
  const turn = Math.sqrt(turnX * turnX + turnY * turnY);
  const skew = Math.sqrt(skewX * skewX + skewY * skewY);
  const large = (turn + skew) / 2;
  const small = (a * d - b * c) / large;
  const much = weight * reweight(small);
  const little = weight * reweight(large);
  // The first left singular vector lies at half the sum of the two angles: its double angle gives its projector.
  const length = turn * skew;
  const isRound = skew <= 1e-14 * turn;
  const cosine = isRound ? 1 : (turnX * skewX - turnY * skewY) / length;
  const sine = isRound ? 0 : (turnX * skewY + turnY * skewX) / length;
  const uu = (little * (1 + cosine) + much * (1 - cosine)) / 2;
  const vv = (little * (1 - cosine) + much * (1 + cosine)) / 2;
  const uv = ((little - much) * sine) / 2;
  hessian.fill(0);
  hessian[0] = hessian[4] = uu;
  hessian[2] = hessian[6] = uv;
  hessian[7] = hessian[9] = vv;
}

function reweight(stretch: number): number {
  const inverse = 1 / stretch;
  return 2 * (1 + inverse * (1 + inverse * (1 + inverse)));
}
