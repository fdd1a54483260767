import type { Vec3 } from '../../src/math/index.js';
import { vec3At } from '../../src/math/index.js';
import type { Mesh } from '../../src/mesh/index.js';
import { buildMesh, edgeFaces } from '../../src/mesh/index.js';
import type { Seam } from '../../src/proposing/index.js';
import type { Marionette, MarionetteOptions } from '../../src/testing/index.js';
import { makeMarionette } from '../../src/testing/index.js';

/** A marionette in its own pose with the same points at rest, where left, front and the limbs' axes are known. */
export interface RestPose {
  readonly puppet: Marionette;
  readonly mesh: Mesh;
  readonly restPoints: Float64Array;
  /** The head's front and back, and the whole height, at rest. */
  readonly head: {
    readonly back: number;
    readonly front: number;
    readonly low: number;
    readonly high: number;
    readonly middle: number;
  };
  readonly height: number;
}

/** An edge of a seam at rest. */
export interface RestEdge {
  readonly seam: Seam;
  readonly middle: Vec3;
  readonly length: number;
  /** Names of the true parts on either side. */
  readonly parts: readonly string[];
}

export function makeAtRest(options: MarionetteOptions): RestPose {
  const puppet = makeMarionette(options);
  const rest = makeMarionette({ ...options, pose: 'a', jitter: 0 });
  const restPoints = rest.mesh.points;
  const mesh = buildMesh(puppet.mesh);
  let [low, high] = [Infinity, -Infinity];
  for (let i = 1; i < restPoints.length; i += 3) {
    low = Math.min(low, restPoints[i]!);
    high = Math.max(high, restPoints[i]!);
  }
  const head = { back: Infinity, front: -Infinity, low: Infinity, high: -Infinity, middle: 0 };
  for (let c = 0; c < mesh.cornerCount; c++) {
    if (partName(puppet, mesh.cornerFaces[c]!) !== 'head') continue;
    const [, y, z] = vec3At(restPoints, mesh.cornerPoints[c]!);
    head.back = Math.min(head.back, z);
    head.front = Math.max(head.front, z);
    head.low = Math.min(head.low, y);
    head.high = Math.max(head.high, y);
  }
  head.middle = (head.back + head.front) / 2;
  return { puppet, mesh, restPoints, head, height: high - low };
}

export const partName = (puppet: Marionette, f: number): string => puppet.parts[puppet.faceParts[f]!]!.name;

/** Every edge of some seams, at rest. */
export function restEdges({ puppet, mesh, restPoints }: RestPose, seams: readonly Seam[]): RestEdge[] {
  const edges = new Map<string, number>();
  const key = (a: number, b: number) => (a < b ? `${a} ${b}` : `${b} ${a}`);
  for (let h = 0; h < mesh.cornerCount; h++)
    edges.set(key(mesh.cornerPoints[h]!, mesh.cornerPoints[mesh.next[h]!]!), mesh.halfEdgeEdges[h]!);
  return seams.flatMap((seam) =>
    seam.edges.map(([a, b]): RestEdge => {
      const p = vec3At(restPoints, a);
      const q = vec3At(restPoints, b);
      const faces = edgeFaces(mesh, edges.get(key(a, b))!).filter((f) => f >= 0);
      return {
        seam,
        middle: [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2, (p[2] + q[2]) / 2],
        length: Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]),
        parts: faces.map((f) => partName(puppet, f)),
      };
    }),
  );
}
