import type { Mesh } from '../mesh/index.js';
import { ElementTree } from './element-tree.js';
import type { FaceElements } from './face-elements.js';
import type { MirroredElements } from './mirror-half.js';
import type { SolvingGround, SolvingGrounds } from './solving-ground.js';
import { openGrounds } from './solving-ground.js';

/** Solves the system of a mesh's elements on the whole mesh, or on one half of it. */
export class ElementSolver {
  readonly grounds: SolvingGrounds;
  readonly #elements: FaceElements;
  readonly #rights: Float64Array;
  readonly #trees = new Map<SolvingGround, ElementTree>();

  /** @param rights - right-hand side of each unknown of the mesh; 0 beyond its end */
  constructor(
    mesh: Mesh,
    mirror: MirroredElements | undefined,
    elements: FaceElements,
    rights: Float64Array,
  ) {
    this.grounds = openGrounds(mesh, mirror);
    this.#elements = elements;
    this.#rights = rights;
  }

  on(ground: SolvingGround): ElementTree {
    let tree = this.#trees.get(ground);
    if (!tree) {
      tree = new ElementTree(this.#elements, ground, this.#rights);
      this.#trees.set(ground, tree);
    }
    return tree;
  }
}
