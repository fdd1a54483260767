import type { RestTriangles } from './rest-triangles.js';

/** The plain triangulation alone, one triangle per place of the surface. */
export function coreTriangles(rest: RestTriangles): RestTriangles {
  const kept: number[] = [];
  for (let t = 0; t < rest.triangleCount; t++) if (rest.isCore[t]) kept.push(t);
  const pick = (values: Float64Array, width: number) =>
    Float64Array.from(
      { length: width * kept.length },
      (_, i) => values[width * kept[Math.floor(i / width)]! + (i % width)]!,
    );
  const shares = new Float64Array(kept.length).fill(1);
  const inverses = pick(rest.inverses, 3);
  let sum = 0;
  const weights = Float64Array.from(kept, (_, i) => 1 / (inverses[3 * i]! * inverses[3 * i + 2]!));
  for (const w of weights) sum += w;
  return {
    ...rest,
    triangleCount: kept.length,
    triangleVertices: Int32Array.from(
      kept.flatMap((t) => Array.from(rest.triangleVertices.subarray(3 * t, 3 * t + 3))),
    ),
    triangleFaces: Int32Array.from(kept, (t) => rest.triangleFaces[t]!),
    weights: weights.map((w) => w / sum),
    shares,
    inverses,
    isReplaced: Uint8Array.from(kept, (t) => rest.isReplaced[t]!),
    isReflex: Uint8Array.from(kept, (t) => rest.isReflex[t]!),
    isCore: new Uint8Array(kept.length).fill(1),
    elementOffsets: Int32Array.from({ length: kept.length + 1 }, (_, i) => i),
  };
}
