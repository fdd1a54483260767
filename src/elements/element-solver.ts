import type { Mesh } from '../mesh/index.js';
import { isCutHalfEdge } from '../mesh/index.js';
import { ElementTree } from './element-tree.js';
import type { FaceElements } from './face-elements.js';
import type { MirroredElements } from './mirror-half.js';
import type { SolvingGround, SolvingGrounds, SolvingPiece } from './solving-ground.js';
import { openGrounds } from './solving-ground.js';

/** What is said of an unknown in `states`. */
export const HELD = 0;
export const FREE = 1;

/** Solves the system of a mesh's elements in pieces of the mesh, what lies on the border of a piece being held. */
export class ElementSolver {
  readonly grounds: SolvingGrounds;
  /** What each unknown of the mesh is in the latest question. */
  readonly states: Uint8Array;
  readonly #mesh: Mesh;
  readonly #elements: FaceElements;
  readonly #rights: Float64Array;
  readonly #trees = new Map<SolvingGround, ElementTree>();
  /** The faces of the latest question. */
  #faces: Int32Array = new Int32Array(0);
  readonly #isInside: Uint8Array;

  /** @param rights - right-hand side of each unknown of the mesh; 0 beyond its end */
  constructor(
    mesh: Mesh,
    mirror: MirroredElements | undefined,
    elements: FaceElements,
    rights: Float64Array,
  ) {
    this.grounds = openGrounds(mesh, mirror);
    this.states = new Uint8Array(elements.unknownCount);
    this.#mesh = mesh;
    this.#elements = elements;
    this.#rights = rights;
    this.#isInside = new Uint8Array(mesh.faceCount);
  }

  /** Frees what lies inside some faces and holds all else. Returns how many sides are on their border. */
  ask(faces: Int32Array, isSeam: Uint8Array): number {
    const mesh = this.#mesh;
    const { vertexCount, faceOffsets, cornerVertices, cornerFaces, next, twin, halfEdgeEdges } = mesh;
    const { states } = this;
    const isInside = this.#isInside;
    for (const f of this.#faces) isInside[f] = 0;
    this.#setStates(this.#faces, HELD);
    this.#faces = faces;
    for (const f of faces) isInside[f] = 1;
    this.#setStates(faces, FREE);
    let sideCount = 0;
    for (const f of faces)
      for (let h = faceOffsets[f]!; h < faceOffsets[f + 1]!; h++) {
        if (!isCutHalfEdge(mesh, isSeam, h) && isInside[cornerFaces[twin[h]!]!]) continue;
        sideCount++;
        states[cornerVertices[h]!] = HELD;
        states[cornerVertices[next[h]!]!] = HELD;
        if (vertexCount < states.length) states[vertexCount + halfEdgeEdges[h]!] = HELD;
      }
    return sideCount;
  }

  /** Solves for what is free; the values lie in the tree. */
  solve({ ground, solved }: SolvingPiece): ElementTree {
    let tree = this.#trees.get(ground);
    if (!tree) {
      tree = new ElementTree(this.#elements, ground, this.#rights);
      this.#trees.set(ground, tree);
    }
    tree.solve(solved, this.states);
    return tree;
  }

  #setStates(faces: Int32Array, state: number): void {
    const { faceOffsets, elementSize, sizes, places } = this.#elements;
    for (const f of faces)
      for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++)
        for (let i = elementSize * e; i < elementSize * e + sizes[e]!; i++) this.states[places[i]!] = state;
  }
}
