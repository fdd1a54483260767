import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { triangulateFaces } from '../../src/fields/index.js';
import type { Vec3 } from '../../src/math/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import {
  computeFaceGeometry,
  computeVertexPositions,
  edgeFaces,
  edgeVertices,
} from '../../src/mesh/index.js';

/** Whether each direction sees each edge's midpoint, by ray casts: seen[d][e]. The library's BVH does the casting. */
export function castEdges(mesh: Mesh, directions: readonly Vec3[], edges: ArrayLike<number>): Uint8Array[] {
  const positions = computeVertexPositions(mesh);
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(new Float32Array(positions), 3));
  geometry.setIndex(new BufferAttribute(new Uint32Array(triangulateFaces(mesh).triangleVertices), 1));
  const bvh = new MeshBVH(geometry);
  const { faceNormals } = computeFaceGeometry(mesh);
  const ray = new Ray();
  const lift = 2e-3 * mesh.diagonal;
  return directions.map((direction) => {
    ray.direction = new Vector3(...direction);
    return Uint8Array.from(edges, (e) => {
      const isFacing = edgeFaces(mesh, e).some(
        (f) => f >= 0 && direction.reduce((sum, d, k) => sum + d * faceNormals[3 * f + k]!, 0) > 0.02,
      );
      if (!isFacing) return 0;
      const [a, b] = edgeVertices(mesh, e);
      const at = (k: number) => (positions[3 * a + k]! + positions[3 * b + k]!) / 2 + lift * direction[k]!;
      ray.origin.set(at(0), at(1), at(2));
      return bvh.raycastFirst(ray, DoubleSide) ? 0 : 1;
    });
  });
}
