import { readFileSync } from 'node:fs';
import { Matrix, SingularValueDecomposition } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { measureChart } from '../../src/distortion/index.js';
import { flattenChart } from '../../src/flattening/index.js';
import { chartOf } from './chart-of.js';

interface Figures {
  readonly madeWith: string;
  readonly meshes: Record<
    string,
    {
      points: number[];
      faces: number[][];
      lscm: { pins: [number, number]; uvs: number[] };
      lscmSparse: number[];
      lscmEigen: number[];
      spectral: number[];
      spectralSparse: number[];
      isometric: { energy: number; uvs: number[] };
    }
  >;
}

/** Made by reference/make_figures.py with SciPy and Eigen; see there for each system's source. */
const figures: Figures = JSON.parse(
  readFileSync(new URL('./reference/flatten-figures.json', import.meta.url), 'utf8'),
);

/** Greatest distance left after the best similarity without reflection, over the target's extent (complex least squares). */
function similarityGap(source: ArrayLike<number>, target: ArrayLike<number>): number {
  const n = source.length / 2;
  const mean = (a: ArrayLike<number>, k: number) =>
    Array.from({ length: n }, (_, i) => a[2 * i + k]!).reduce((s, x) => s + x, 0) / n;
  const [sx, sy, tx, ty] = [mean(source, 0), mean(source, 1), mean(target, 0), mean(target, 1)];
  let [real, imaginary, squares, extent] = [0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const [a, b, c, d] = [
      source[2 * i]! - sx,
      source[2 * i + 1]! - sy,
      target[2 * i]! - tx,
      target[2 * i + 1]! - ty,
    ];
    real += a * c + b * d;
    imaginary += a * d - b * c;
    squares += a * a + b * b;
    extent = Math.max(extent, Math.hypot(c, d));
  }
  let gap = 0;
  for (let i = 0; i < n; i++) {
    const [a, b, c, d] = [
      source[2 * i]! - sx,
      source[2 * i + 1]! - sy,
      target[2 * i]! - tx,
      target[2 * i + 1]! - ty,
    ];
    gap = Math.max(
      gap,
      Math.hypot((real * a - imaginary * b) / squares - c, (real * b + imaginary * a) / squares - d),
    );
  }
  return gap / extent;
}

describe.each(Object.entries(figures.meshes))(`${figures.madeWith} on the mesh %s`, (_name, figure) => {
  const surface = chartOf({
    points: figure.points,
    faceVertexCounts: figure.faces.map((f) => f.length),
    faceVertexIndices: figure.faces.flat(),
  });
  // Local vertices are numbered by first corner: put ours into the file's order.
  const ordered = (uvs: ArrayLike<number>) => {
    const out = new Float64Array(uvs.length);
    for (let v = 0; v < surface.vertexCount; v++) {
      const p = surface.positions;
      let point = 0;
      while (
        figure.points[3 * point] !== p[3 * v] ||
        figure.points[3 * point + 1] !== p[3 * v + 1] ||
        figure.points[3 * point + 2] !== p[3 * v + 2]
      )
        point++;
      out[2 * point] = uvs[2 * v]!;
      out[2 * point + 1] = uvs[2 * v + 1]!;
    }
    return out;
  };

  it('agrees on the least-squares conformal map within 1e-6', () => {
    const uvs = ordered(flattenChart(surface, { method: 'lscm' }).uvs);
    for (const reference of [figure.lscm.uvs, figure.lscmSparse, figure.lscmEigen])
      expect(similarityGap(uvs, reference)).toBeLessThan(1e-6);
  });

  it('agrees on the spectral conformal map within 1e-6', () => {
    const uvs = ordered(flattenChart(surface, { method: 'spectral' }).uvs);
    for (const reference of [figure.spectral, figure.spectralSparse])
      expect(similarityGap(uvs, reference)).toBeLessThan(1e-6);
  });

  it('agrees on the isometric map: energy within 1e-7, places within 1e-4', () => {
    const flat = flattenChart(surface, { tolerance: 1e-13 });
    expect(Math.abs(flat.energy - figure.isometric.energy)).toBeLessThan(1e-7);
    expect(similarityGap(ordered(flat.uvs), figure.isometric.uvs)).toBeLessThan(1e-4);
  });

  it('has the singular values of ml-matrix', () => {
    const { uvs } = flattenChart(surface);
    const { faceSigma1, faceSigma2 } = measureChart(surface, uvs);
    for (let f = 0; f < surface.faces.length; f++) {
      const [a, b, c] = surface.cornerVertices.subarray(surface.faceOffsets[f]!, surface.faceOffsets[f]! + 3);
      const side = (values: ArrayLike<number>, width: number, to: number) =>
        Array.from({ length: width }, (_, k) => values[width * to + k]! - values[width * a! + k]!);
      const inSpace = new Matrix([
        side(surface.positions, 3, b!),
        side(surface.positions, 3, c!),
      ]).transpose();
      const inPlane = new Matrix([side(uvs, 2, b!), side(uvs, 2, c!)]).transpose();
      // The map from the triangle's plane, by an orthonormal basis of it out of the SVD of its sides.
      const sides = new SingularValueDecomposition(inSpace, { autoTranspose: true });
      const basis = sides.leftSingularVectors.subMatrix(0, 2, 0, 1);
      const local = basis.transpose().mmul(inSpace);
      const det = local.get(0, 0) * local.get(1, 1) - local.get(0, 1) * local.get(1, 0);
      const inverse = new Matrix([
        [local.get(1, 1) / det, -local.get(0, 1) / det],
        [-local.get(1, 0) / det, local.get(0, 0) / det],
      ]);
      const { diagonal } = new SingularValueDecomposition(inPlane.mmul(inverse));
      expect(faceSigma1[f]).toBeCloseTo(Math.max(...diagonal), 9);
      expect(faceSigma2[f]).toBeCloseTo(Math.min(...diagonal), 9);
    }
  });
});
