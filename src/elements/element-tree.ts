import { NumericalError } from '../errors.js';
import type { Front } from '../linalg/index.js';
import { eliminateFront, openFront } from '../linalg/index.js';
import type { FaceId } from '../mesh/index.js';
import type { FaceElements } from './face-elements.js';
import type { FaceTree } from './face-tree.js';
import type { SolvingGround } from './solving-ground.js';

/** Shares by which the diagonal is raised, one after the other, where rounding eats a pivot, as on needles. */
const RAISES = [0, 1e-8, 1e-5, 1e-2] as const;
/** A pivot at or below this share of its diagonal entry counts as zero. */
const PIVOT_TOLERANCE = 1e-14;

/** A node with the unknowns inside eliminated, for one choice of what is held. */
interface NodeState {
  readonly left: NodeState | undefined;
  readonly right: NodeState | undefined;
  /** What is free: unknowns eliminated in the node, and those on its border. */
  readonly columns: readonly number[];
  readonly rows: Int32Array;
  /** Its last unknown is the right-hand side, as if it were −1. */
  readonly front: Front;
}

/**
 * Solves the system of some elements, again and again with other unknowns held.
 *
 * Elements are gathered into larger and larger pieces. Of each piece the unknowns inside are eliminated, which leaves
 * a dense system in those on its border; pieces are joined by adding these up (substructures: Przemieniecki, AIAA
 * Journal 1(1), 1963; as an order of elimination: George, "Nested dissection of a regular finite element mesh", SIAM J.
 * Numer. Anal. 10(2), 1973; both from memory). Where the same unknowns of a piece are held as last time nothing is to
 * be done: another seam costs the pieces it runs through, from the leaf to the root. What a piece comes to depends on
 * nothing but its elements and what of them is held, so memory makes no difference to the last bit.
 */
export class ElementTree {
  /** Place of each unknown of the mesh in the order of elimination, -1 for those that are always held or elsewhere. */
  readonly ranks: Int32Array;
  /** The latest solution, by rank; of unknowns that were held, what it was before. */
  readonly values: Float64Array;
  readonly #unknowns: Int32Array;
  readonly #leaves: Int32Array;
  readonly #parents: Int32Array;
  readonly #elements: FaceElements;
  readonly #tree: FaceTree;
  /** First rank eliminated in each node, and the size at the end. */
  readonly #firsts: Int32Array;
  /** Ranks on the border of each node, ascending. */
  readonly #borders: readonly Int32Array[];
  readonly #rights: Float64Array;
  readonly #diagonals: Float64Array;
  /** The latest state of each node. */
  readonly #known: NodeState[] = [];
  /** Where each rank is in the front in work, -1 where it is not. */
  readonly #places: Int32Array;

  /** @param rights - right-hand side of each unknown of the mesh; 0 beyond its end */
  constructor(elements: FaceElements, ground: SolvingGround, rights: Float64Array) {
    const { tree, mesh, isPlaneVertex, isPlaneEdge } = ground;
    const { nodeCount, faces, starts, ends, children } = tree;
    this.#elements = elements;
    this.#tree = tree;
    this.#parents = new Int32Array(nodeCount).fill(-1);
    this.#leaves = new Int32Array(elements.faceOffsets.length - 1).fill(-1);
    for (let node = 0; node < nodeCount; node++) {
      for (const list of children) if (list[node]! >= 0) this.#parents[list[node]!] = node;
      if (children[0]![node]! < 0)
        for (let i = starts[node]!; i < ends[node]!; i++) this.#leaves[faces[i]!] = node;
    }
    // What belongs to an edge of the plane is 0 by symmetry, and what lies on it is half here, half beyond.
    const nodes = this.#placeUnknowns().map((node, u) => (isPlaneEdge[u - mesh.vertexCount] ? -1 : node));
    this.#firsts = new Int32Array(nodeCount + 1);
    for (const node of nodes) if (node >= 0) this.#firsts[node + 1]!++;
    for (let node = 0; node < nodeCount; node++) this.#firsts[node + 1]! += this.#firsts[node]!;
    const size = this.#firsts[nodeCount]!;
    const next = this.#firsts.slice();
    this.ranks = nodes.map((node) => (node < 0 ? -1 : next[node]!++));
    this.#unknowns = new Int32Array(size);
    this.values = new Float64Array(size);
    this.#rights = new Float64Array(size);
    this.#diagonals = new Float64Array(size);
    this.#places = new Int32Array(size).fill(-1);
    this.ranks.forEach((rank, u) => {
      if (rank < 0) return;
      this.#unknowns[rank] = u;
      this.#rights[rank] = (rights[u] ?? 0) / (isPlaneVertex[u] ? 2 : 1);
    });
    this.#borders = this.#listBorders();
    for (let node = 0; node < nodeCount; node++)
      this.#visitEntries(node, (row, column, value) => {
        if (row === column) this.#diagonals[row]! += value;
      });
  }

  /**
   * Solves for what is free.
   *
   * @param faces - all that have a free unknown, of those that the tree has
   * @param isFree - not 0 per unknown of the mesh that is not held
   */
  solve(faces: ArrayLike<FaceId>, isFree: Uint8Array): void {
    const states = new Map<number, NodeState>();
    for (const node of this.#listNodes(faces)) {
      const state = this.#reachState(node, isFree, states);
      if (state) states.set(node, state);
    }
    // From the root down: what is on a node's border is known when its own unknowns are solved for.
    for (const { columns, rows, front } of [...states.values()].reverse())
      substituteFront(front, columns, rows, this.values);
  }

  /** Nodes that some of the faces lie in, parts first. */
  #listNodes(faces: ArrayLike<FaceId>): number[] {
    const isMet = new Uint8Array(this.#tree.nodeCount);
    for (let i = 0; i < faces.length; i++)
      for (let node = this.#leaves[faces[i]!]!; node >= 0 && !isMet[node]; node = this.#parents[node]!)
        isMet[node] = 1;
    const nodes: number[] = [];
    for (let node = 0; node < isMet.length; node++) if (isMet[node]) nodes.push(node);
    return nodes;
  }

  #reachState(
    node: number,
    isFree: Uint8Array,
    states: ReadonlyMap<number, NodeState>,
  ): NodeState | undefined {
    const [lefts, rights] = this.#tree.children;
    const left = states.get(lefts![node]!);
    const right = states.get(rights![node]!);
    const isLeaf = lefts![node]! < 0;
    if (!isLeaf && !left && !right) return undefined;
    const known = this.#known[node];
    const isSame = isLeaf
      ? known && this.#isAsked(node, known, isFree)
      : known?.left === left && known?.right === right;
    if (isSame) return known;
    const columns: number[] = [];
    for (let rank = this.#firsts[node]!; rank < this.#firsts[node + 1]!; rank++)
      if (isFree[this.#unknowns[rank]!]) columns.push(rank);
    const rows = this.#borders[node]!.filter((rank) => isFree[this.#unknowns[rank]!]);
    const state = { left, right, columns, rows, front: this.#eliminate(node, columns, rows, [left, right]) };
    this.#known[node] = state;
    return state;
  }

  /** Whether what is free in a leaf is what was. */
  #isAsked(node: number, { columns, rows }: NodeState, isFree: Uint8Array): boolean {
    let count = 0;
    for (let rank = this.#firsts[node]!; rank < this.#firsts[node + 1]!; rank++)
      if (isFree[this.#unknowns[rank]!] && columns[count++] !== rank) return false;
    if (count !== columns.length) return false;
    count = 0;
    for (const rank of this.#borders[node]!)
      if (isFree[this.#unknowns[rank]!] && rows[count++] !== rank) return false;
    return count === rows.length;
  }

  #eliminate(
    node: number,
    columns: readonly number[],
    rows: Int32Array,
    parts: readonly (NodeState | undefined)[],
  ): Front {
    const places = this.#places;
    const width = columns.length;
    const right = width + rows.length;
    for (let i = 0; i < width; i++) places[columns[i]!] = i;
    for (let i = 0; i < rows.length; i++) places[rows[i]!] = width + i;
    const joined = parts.flatMap((part) =>
      part
        ? [{ update: part.front.update, positions: [...part.rows.map((rank) => places[rank]!), right] }]
        : [],
    );
    let front: Front;
    let attempt = 0;
    for (;;) {
      front = openFront(width, right + 1);
      this.#fill(node, front, columns, RAISES[attempt]!);
      const floors = Float64Array.from(columns, (rank) => PIVOT_TOLERANCE * this.#diagonals[rank]!);
      const failed = eliminateFront(front, joined, floors);
      if (failed < 0) break;
      attempt++;
      if (attempt === RAISES.length)
        throw new NumericalError(
          'MATRIX_SINGULAR',
          `ElementTree.solve: the system is singular, got a pivot at or below ${floors[failed]}, expected one above`,
          { floor: floors[failed]! },
        );
    }
    for (const rank of columns) places[rank] = -1;
    for (const rank of rows) places[rank] = -1;
    return front;
  }

  /** Adds the node's own elements, if it is a leaf, the right-hand side and what the diagonal is raised by. */
  #fill(
    node: number,
    { width, height, block, update }: Front,
    columns: readonly number[],
    raise: number,
  ): void {
    const places = this.#places;
    this.#visitEntries(node, (a, b, value) => {
      const row = Math.max(places[a]!, places[b]!);
      const column = Math.min(places[a]!, places[b]!);
      if (column < 0) return;
      if (column < width) block[row * width + column]! += value;
      else update[((row - width) * (row - width + 1)) / 2 + column - width]! += value;
    });
    columns.forEach((rank, i) => {
      block[(height - 1) * width + i] = this.#rights[rank]!;
      block[i * width + i]! += raise * this.#diagonals[rank]!;
    });
  }

  /** Visits every entry of the lower triangle of a leaf's elements. */
  #visitEntries(node: number, visit: (a: number, b: number, value: number) => void): void {
    const { faces, starts, ends, children } = this.#tree;
    if (children[0]![node]! >= 0) return;
    const { faceOffsets, elementSize, sizes, places, signs, forms } = this.#elements;
    for (let i = starts[node]!; i < ends[node]!; i++)
      for (let e = faceOffsets[faces[i]!]!; e < faceOffsets[faces[i]! + 1]!; e++) {
        const at = elementSize * e;
        let p = ((elementSize * (elementSize + 1)) / 2) * e;
        for (let j = at; j < at + sizes[e]!; j++)
          for (let k = at; k <= j; k++, p++)
            if (this.ranks[places[j]!]! >= 0 && this.ranks[places[k]!]! >= 0)
              visit(this.ranks[places[j]!]!, this.ranks[places[k]!]!, signs[j]! * signs[k]! * forms[p]!);
      }
  }

  /** Ranks of the unknowns of each node that are eliminated in none of its parts nor in itself. */
  #listBorders(): Int32Array[] {
    const { nodeCount, faces, starts, ends, children } = this.#tree;
    const { faceOffsets, elementSize, sizes, places } = this.#elements;
    const met = new Int32Array(this.values.length).fill(-1);
    const borders: Int32Array[] = [];
    for (let node = 0; node < nodeCount; node++) {
      const border: number[] = [];
      const meet = (rank: number) => {
        if (rank < this.#firsts[node + 1]! || met[rank] === node) return;
        met[rank] = node;
        border.push(rank);
      };
      if (children[0]![node]! < 0) {
        for (let i = starts[node]!; i < ends[node]!; i++)
          for (let e = faceOffsets[faces[i]!]!; e < faceOffsets[faces[i]! + 1]!; e++)
            for (let k = elementSize * e; k < elementSize * e + sizes[e]!; k++) meet(this.ranks[places[k]!]!);
      } else for (const list of children) for (const rank of borders[list[node]!]!) meet(rank);
      borders.push(Int32Array.from(border).sort());
    }
    return borders;
  }

  /** The lowest node that has all elements of each unknown, -1 for no element. */
  #placeUnknowns(): Int32Array {
    const { faceOffsets, elementSize, sizes, places, unknownCount } = this.#elements;
    const parents = this.#parents;
    const nodes = new Int32Array(unknownCount).fill(-1);
    for (const f of this.#tree.faces)
      for (let e = faceOffsets[f]!; e < faceOffsets[f + 1]!; e++)
        for (let k = elementSize * e; k < elementSize * e + sizes[e]!; k++) {
          // Of two nodes the lower-numbered is never above the other.
          let a = nodes[places[k]!]!;
          let b = this.#leaves[f]!;
          while (a >= 0 && a !== b) {
            if (a < b) a = parents[a]!;
            else b = parents[b]!;
          }
          nodes[places[k]!] = b;
        }
    return nodes;
  }
}

function substituteFront(
  { width, height, block }: Front,
  columns: readonly number[],
  rows: Int32Array,
  values: Float64Array,
): void {
  const sums = block.slice((height - 1) * width);
  let p = width * width;
  for (let i = 0; i < rows.length; i++) {
    const x = values[rows[i]!]!;
    for (let k = 0; k < width; k++) sums[k]! -= block[p++]! * x;
  }
  for (let i = width - 1; i >= 0; i--) {
    const x = sums[i]!;
    values[columns[i]!] = x;
    p = i * width;
    for (let k = 0; k < i; k++) sums[k]! -= block[p++]! * x;
  }
}
