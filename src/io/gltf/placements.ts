import type { Document, Mesh, Node, Primitive } from '@gltf-transform/core';
import type { Matrix4 } from '../matrices.js';
import { IDENTITY, isUsable, multiply } from '../matrices.js';

/** A mesh of the file and where it stands. */
export interface Placement {
  readonly mesh: Mesh;
  readonly matrix: Matrix4;
}

/**
 * The meshes of the default scene in node order, each once, where its first node puts it; all meshes when the
 * scene shows none. A skinned mesh keeps its bind shape and stands where the joint of greatest total weight
 * puts it, since glTF 2.0 (3.7.3.3) ignores the transform of a skinned mesh's own node.
 */
export function placeMeshes(document: Document): Placement[] {
  const root = document.getRoot();
  const worldMatrices = computeWorldMatrices(root.listNodes());
  const scene = root.getDefaultScene() ?? root.listScenes()[0];
  const shown = new Set<Node>();
  const stack = [...(scene?.listChildren() ?? [])];
  for (let node = stack.pop(); node; node = stack.pop()) {
    shown.add(node);
    stack.push(...node.listChildren());
  }
  const matrices = new Map<Mesh, Matrix4>();
  for (const node of root.listNodes()) {
    const mesh = node.getMesh();
    if (!mesh || matrices.has(mesh) || !shown.has(node)) continue;
    const matrix = skinMatrix(node, mesh, worldMatrices) ?? worldMatrices.get(node)!;
    matrices.set(mesh, isUsable(matrix) ? matrix : IDENTITY);
  }
  if (matrices.size === 0) return root.listMeshes().map((mesh) => ({ mesh, matrix: IDENTITY }));
  return [...matrices].map(([mesh, matrix]) => ({ mesh, matrix }));
}

/** Without recursion: a chain of nodes may be long. */
function computeWorldMatrices(nodes: readonly Node[]): Map<Node, Matrix4> {
  const matrices = new Map<Node, Matrix4>();
  const children = new Set(nodes.flatMap((node) => node.listChildren()));
  const stack = nodes.filter((node) => !children.has(node));
  for (const node of stack) matrices.set(node, node.getMatrix());
  for (let node = stack.pop(); node; node = stack.pop()) {
    for (const child of node.listChildren()) {
      matrices.set(child, multiply(matrices.get(node)!, child.getMatrix()));
      stack.push(child);
    }
  }
  return matrices;
}

function skinMatrix(node: Node, mesh: Mesh, worldMatrices: Map<Node, Matrix4>): Matrix4 | undefined {
  const skin = node.getSkin();
  const joints = skin?.listJoints() ?? [];
  if (!skin || joints.length === 0) return undefined;
  const totals = new Float64Array(joints.length);
  for (const primitive of mesh.listPrimitives()) addWeights(primitive, totals);
  let heaviest = 0;
  for (let j = 1; j < totals.length; j++) if (totals[j]! > totals[heaviest]!) heaviest = j;
  const inverseBind = skin.getInverseBindMatrices();
  const bind: number[] = inverseBind
    ? inverseBind.getElement(heaviest, new Array<number>(16).fill(0))
    : [...IDENTITY];
  return multiply(worldMatrices.get(joints[heaviest]!)!, bind);
}

function addWeights(primitive: Primitive, totals: Float64Array): void {
  const joints = primitive.getAttribute('JOINTS_0');
  const weights = primitive.getAttribute('WEIGHTS_0');
  if (!joints || !weights) return;
  const joint = [0, 0, 0, 0];
  const weight = [0, 0, 0, 0];
  for (let i = 0; i < joints.getCount(); i++) {
    joints.getElement(i, joint);
    weights.getElement(i, weight);
    for (let k = 0; k < 4; k++) if (joint[k]! < totals.length) totals[joint[k]!]! += weight[k]!;
  }
}
