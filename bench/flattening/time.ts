import { flattenChart } from '../../src/flattening/index.js';
import { buildMesh, cutMesh, extractCharts } from '../../src/mesh/index.js';

/** Triangles over a square of hills of a few sizes, as many as asked for. */
export function makeHills(faceCount: number) {
  const n = Math.round(Math.sqrt(faceCount / 2));
  const points: number[] = [];
  for (let j = 0; j <= n; j++) {
    for (let i = 0; i <= n; i++) {
      const [x, y] = [i / n, j / n];
      const height =
        0.12 * Math.sin(7 * x + 1) * Math.cos(6 * y) + 0.03 * Math.sin(23 * x) * Math.sin(19 * y + 2);
      points.push(x, y, height + 0.004 * Math.sin(71 * x + 53 * y));
    }
  }
  const faces: number[] = [];
  for (let j = 0; j < n; j++) {
    for (let i = 0; i < n; i++) {
      const a = j * (n + 1) + i;
      const [b, c, d] = [a + 1, a + n + 2, a + n + 1];
      faces.push(...((i + j) % 2 === 0 ? [a, b, c, a, c, d] : [a, b, d, b, c, d]));
    }
  }
  const mesh = buildMesh({
    points,
    faceVertexCounts: new Int32Array(faces.length / 3).fill(3),
    faceVertexIndices: faces,
  });
  return extractCharts(cutMesh(mesh, new Uint8Array(mesh.edgeCount)))[0]!;
}

const [faceCount, repeats] = process.argv.slice(2).map(Number) as [number, number];
const surface = makeHills(faceCount);
const times: { cpu: number; wall: number }[] = [];
let flat = flattenChart(makeHills(2000));
for (let i = 0; i < repeats; i++) {
  const [cpu, wall] = [process.cpuUsage(), performance.now()];
  flat = flattenChart(surface);
  const { user, system } = process.cpuUsage(cpu);
  times.push({ cpu: (user + system) / 1000, wall: performance.now() - wall });
}
const { energy, iterations, isConverged, isInjective } = flat;
process.stdout.write(
  `${JSON.stringify({
    faces: surface.faces.length,
    cpu: Math.min(...times.map((t) => t.cpu)),
    wall: Math.min(...times.map((t) => t.wall)),
    peakMegabytes: Math.round(process.resourceUsage().maxRSS / 1024),
    energy,
    iterations,
    isConverged,
    isInjective,
  })}\n`,
);
