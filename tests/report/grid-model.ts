import type { ReviewModel } from '../../src/report/index.js';

/** A grid of quads on a bumpy sheet in `setCount` sets of two charts each. */
export function gridModel(columns: number, rows: number, setCount: number, name = 'grid'): ReviewModel {
  const at = (x: number, y: number) => y * (columns + 1) + x;
  const points = new Float32Array(3 * (columns + 1) * (rows + 1));
  for (let y = 0; y <= rows; y++)
    for (let x = 0; x <= columns; x++)
      points.set([x, y, 3 * Math.sin(x / 17) * Math.cos(y / 23)], 3 * at(x, y));
  const faceCount = columns * rows;
  const indices: number[] = [];
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < columns; x++) indices.push(at(x, y), at(x + 1, y), at(x + 1, y + 1), at(x, y + 1));
  const faceVertexIndices = Int32Array.from(indices);
  const faceCharts = Int32Array.from({ length: faceCount }, (_, f) => (f % columns < columns / 2 ? 0 : 1));
  const uvs = new Float32Array(2 * faceVertexIndices.length);
  faceVertexIndices.forEach((p, c) => {
    const chart = faceCharts[c >> 2]!;
    // A gentle bend, so that neighbouring differences are not all the same.
    const [x, y] = [points[3 * p]!, points[3 * p + 1]!];
    uvs[2 * c] = (x + 0.4 * Math.sin(y / 9) + chart) / (columns + 3);
    uvs[2 * c + 1] = (y + 0.4 * Math.cos(x / 7) + 1) / (rows + 2);
  });
  const figures = {
    stretch: 0.1,
    predicted: 0.1,
    exposure: 1,
    frontExposure: 1,
    seamLength: 1,
    pieces: 2,
    symmetry: 1,
    fill: 0.7,
    score: 0.5,
  };
  const { stretch: _stretch, fill: _fill, score: _score, ...dropped } = { ...figures, exposure: 1.4 };
  const words = {
    role: 'opening',
    label: name,
    length: 1,
    exposure: 0.5,
    reason: name,
    colour: '#103090',
    dash: '',
  };
  const middle = Math.ceil(columns / 2);
  const corners = Array.from({ length: rows }, (_, y) => 4 * (y * columns + middle - 1) + 1);
  const set = {
    name,
    summary: name,
    figures,
    resolution: 2048,
    seams: [{ ...words, corners }],
    charts: [0, 1].map(() => ({
      label: name,
      faceCount: 1,
      area: 1,
      predicted: 0.1,
      predictedLow: 0.1,
      predictedHigh: 0.2,
      measured: 0.1,
    })),
    faceCharts,
    uvs,
    faceRatio: Float32Array.from({ length: faceCount }, (_, f) => 1 + (f % 13) / 40),
    faceArea: Float32Array.from({ length: faceCount }, (_, f) => Math.sin(f / 50) / 3),
  };
  return {
    name,
    up: [0, 1, 0],
    front: [0, 0, 1],
    points,
    faceVertexCounts: new Int32Array(faceCount).fill(4),
    faceVertexIndices,
    parts: [name],
    faceParts: new Int32Array(faceCount),
    faceExposure: Float32Array.from({ length: faceCount }, (_, f) => (f % 101) / 100),
    sets: Array.from({ length: setCount }, () => set),
    dropped: [{ name, reason: name, beatenBy: 0, figures: dropped }],
  };
}
