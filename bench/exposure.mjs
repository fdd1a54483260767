// Exposure by depth buffers against ray casts of a BVH library: node bench/exposure.mjs [--sizes 3000,13000,50000,200000] [--rays 400000]
// Both answer for 100 directions which edges are seen; ours answers for faces and vertices as well in the same time.
// Rays are cast for a sample of the edges and the time is scaled to all of them; the tree's building is counted in.
import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { buildSync } from 'esbuild';
import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';

const here = fileURLToPath(new URL('.', import.meta.url));
const option = (name, fallback) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? fallback : process.argv[at + 1];
};
const sizes = option('sizes', '3000,13000,50000,200000').split(',').map(Number);
const rayBudget = Number(option('rays', '400000'));
const scratch = mkdtempSync(join(tmpdir(), 'seamwright-bench-'));
const load = async (name) => {
  const outfile = join(scratch, `${name}.mjs`);
  buildSync({
    stdin: { contents: `export * from '../src/${name}/index.ts';`, resolveDir: here },
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'es2022',
    outfile,
  });
  return import(pathToFileURL(outfile));
};
const fields = await load('fields');
const meshes = await load('mesh');
const { makeMarionette } = await load('testing');

const cpuSeconds = (work) => {
  const start = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1e6;
};
const median = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];

/** Directions and weights of `all-round`, both ends of each axis. */
const directions = fields
  .sphereDirections(100, fields.buildAxisFrame())
  .flatMap((d) => [d, d.map((x) => -x)]);

function castRays(mesh, edges) {
  const positions = meshes.computeVertexPositions(mesh);
  const { faceNormals } = meshes.computeFaceGeometry(mesh);
  const { triangleVertices } = fields.triangulateFaces(mesh);
  let bvh;
  const buildTime = cpuSeconds(() => {
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', new BufferAttribute(new Float32Array(positions), 3));
    geometry.setIndex(new BufferAttribute(new Uint32Array(triangleVertices), 1));
    bvh = new MeshBVH(geometry);
  });
  const seen = new Float64Array(edges.length);
  const lift = 2e-3 * mesh.diagonal;
  const ray = new Ray();
  let rays = 0;
  const castTime = cpuSeconds(() => {
    for (const direction of directions) {
      ray.direction = new Vector3(...direction);
      for (let i = 0; i < edges.length; i++) {
        const h = mesh.edgeHalfEdges[edges[i]];
        const isFacing = [h, mesh.twin[h]].some((g) => {
          const f = g < 0 ? -1 : 3 * mesh.cornerFaces[g];
          return (
            f >= 0 &&
            faceNormals[f] * direction[0] +
              faceNormals[f + 1] * direction[1] +
              faceNormals[f + 2] * direction[2] >
              0.02
          );
        });
        if (!isFacing) continue;
        const a = 3 * mesh.cornerVertices[h];
        const b = 3 * mesh.cornerVertices[mesh.next[h]];
        ray.origin.set(
          (positions[a] + positions[b]) / 2 + lift * direction[0],
          (positions[a + 1] + positions[b + 1]) / 2 + lift * direction[1],
          (positions[a + 2] + positions[b + 2]) / 2 + lift * direction[2],
        );
        rays++;
        if (!bvh.raycastFirst(ray, DoubleSide)) seen[i]++;
      }
    }
  });
  const exposure = seen.map((count) => Math.min(1, (2 * count) / directions.length));
  return { exposure, rays, seconds: buildTime + (castTime * mesh.edgeCount) / edges.length };
}

const rows = [];
for (const size of sizes) {
  const mesh = meshes.buildMesh(makeMarionette({ faces: size, pose: 'armsDown' }).mesh);
  const stride = Math.max(1, Math.ceil((mesh.edgeCount * directions.length) / 2 / rayBudget));
  const edges = Int32Array.from({ length: Math.floor(mesh.edgeCount / stride) }, (_, i) => i * stride);
  let exposure;
  fields.computeExposures(mesh, ['all-round']);
  const ours = median(
    [0, 1, 2].map(() =>
      cpuSeconds(() => {
        exposure = fields.computeExposures(mesh, ['all-round'])[0].edgeExposure;
      }),
    ),
  );
  const cast = castRays(mesh, edges);
  let error = 0;
  edges.forEach((e, i) => {
    error += Math.abs(exposure[e] - cast.exposure[i]);
  });
  rows.push({
    faces: mesh.faceCount,
    oursSeconds: Number(ours.toFixed(3)),
    raysSeconds: Number(cast.seconds.toFixed(2)),
    ratio: Number((cast.seconds / ours).toFixed(1)),
    meanError: Number((error / edges.length).toFixed(4)),
    raysCast: cast.rays,
  });
  console.log(rows[rows.length - 1]);
}
const [first, last] = [rows[0], rows[rows.length - 1]];
const growth = Math.log(last.oursSeconds / first.oursSeconds) / Math.log(last.faces / first.faces);
console.table(rows);
console.log(`growth exponent ${growth.toFixed(2)} (time of a processor, median of three)`);
mkdirSync(join(here, 'results'), { recursive: true });
writeFileSync(
  join(here, 'results/exposure.json'),
  `${JSON.stringify({ node: process.version, processor: cpus()[0]?.model, growth: Number(growth.toFixed(2)), rows }, null, 2)}\n`,
);
