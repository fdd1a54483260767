import { FormatError } from '../../errors.js';
import type { ReadLimits } from '../limits.js';
import { checkElementCount } from '../limits.js';
import type { GltfJson } from './container.js';

type Item = Readonly<Record<string, unknown>>;

const LISTS = [
  'accessors',
  'animations',
  'buffers',
  'bufferViews',
  'images',
  'materials',
  'meshes',
  'nodes',
  'samplers',
  'scenes',
  'skins',
  'textures',
] as const;

type Lists = Readonly<Record<(typeof LISTS)[number], readonly Item[]>>;

const COMPONENT_SIZES = new Map([
  [5120, 1],
  [5121, 1],
  [5122, 2],
  [5123, 2],
  [5125, 4],
  [5126, 4],
]);
/** Fields that place a node, and how many numbers each has. */
const TRANSFORMS = [
  ['translation', 3],
  ['rotation', 4],
  ['scale', 3],
  ['matrix', 16],
] as const;

/** Unsigned whole numbers, which indices are made of. */
const INDEX_SIZES = new Map([
  [5121, 1],
  [5123, 2],
  [5125, 4],
]);
const TYPE_SIZES = new Map([
  ['SCALAR', 1],
  ['VEC2', 2],
  ['VEC3', 3],
  ['VEC4', 4],
  ['MAT2', 4],
  ['MAT3', 9],
  ['MAT4', 16],
]);

/**
 * Checks of a glTF JSON what a reader trusts: that lists are lists, that indices lead somewhere, that
 * accessors lie inside their data and do not claim more than the limits, and that the nodes form trees.
 *
 * @param bufferLengths - bytes present for each buffer
 * @throws FORMAT_INVALID with `details.path`, FORMAT_TOO_LARGE
 */
export function checkGltf(
  json: GltfJson,
  bufferLengths: readonly number[],
  limits: Required<ReadLimits>,
  caller: string,
): void {
  new GltfChecker(json, limits, caller).check(bufferLengths);
}

class GltfChecker {
  readonly #lists: Lists;
  readonly #json: GltfJson;
  readonly #limits: Required<ReadLimits>;
  readonly #caller: string;

  constructor(json: GltfJson, limits: Required<ReadLimits>, caller: string) {
    this.#json = json;
    this.#limits = limits;
    this.#caller = caller;
    this.#lists = Object.fromEntries(LISTS.map((name) => [name, this.#list(name)])) as Lists;
  }

  check(bufferLengths: readonly number[]): void {
    const asset = this.#json.asset as Item | undefined;
    const version = String(asset?.version ?? '');
    if (!version.startsWith('2.')) throw this.#invalid('asset.version', version || 'nothing', '2.0');
    this.#checkViews(bufferLengths);
    this.#checkAccessors();
    this.#checkMeshes();
    this.#checkNodes();
  }

  #list(name: string): readonly Item[] {
    const list = this.#json[name];
    if (list === undefined) return [];
    if (!Array.isArray(list)) throw this.#invalid(name, typeof list, 'an array');
    list.forEach((item, i) => {
      if (typeof item !== 'object' || item === null || Array.isArray(item)) {
        throw this.#invalid(`${name}[${i}]`, String(item), 'an object');
      }
    });
    return list;
  }

  #checkViews(bufferLengths: readonly number[]): void {
    this.#lists.buffers.forEach((buffer, i) => {
      const byteLength = this.#integer(buffer.byteLength, `buffers[${i}].byteLength`, 0, Infinity);
      if (byteLength > bufferLengths[i]!)
        throw this.#invalid(
          `buffers[${i}].byteLength`,
          byteLength,
          `at most ${bufferLengths[i]}, the bytes that are there`,
        );
    });
    this.#lists.bufferViews.forEach((view, i) => {
      const path = `bufferViews[${i}]`;
      const buffer = this.#index(view.buffer, `${path}.buffer`, 'buffers');
      const offset = this.#integer(view.byteOffset ?? 0, `${path}.byteOffset`, 0, Infinity);
      const length = this.#integer(view.byteLength, `${path}.byteLength`, 0, Infinity);
      if (offset + length > bufferLengths[buffer]!)
        throw this.#invalid(`${path}.byteLength`, length, `at most ${bufferLengths[buffer]! - offset}`);
      if (view.byteStride !== undefined) this.#integer(view.byteStride, `${path}.byteStride`, 4, 252);
    });
    this.#lists.images.forEach((image, i) => {
      if (image.bufferView !== undefined)
        this.#index(image.bufferView, `images[${i}].bufferView`, 'bufferViews');
    });
  }

  #checkAccessors(): void {
    let total = 0;
    this.#lists.accessors.forEach((accessor, i) => {
      const path = `accessors[${i}]`;
      const componentSize = COMPONENT_SIZES.get(accessor.componentType as number);
      if (!componentSize)
        throw this.#invalid(
          `${path}.componentType`,
          accessor.componentType,
          `one of ${[...COMPONENT_SIZES.keys()].join(', ')}`,
        );
      const typeSize = TYPE_SIZES.get(accessor.type as string);
      if (!typeSize)
        throw this.#invalid(`${path}.type`, accessor.type, `one of ${[...TYPE_SIZES.keys()].join(', ')}`);
      const count = this.#integer(accessor.count, `${path}.count`, 1, Infinity);
      total += count * typeSize;
      checkElementCount(total, 'accessor values', this.#limits, this.#caller);
      this.#checkSpan(accessor, path, count, componentSize! * typeSize);
      const sparse = accessor.sparse as Item | undefined;
      if (sparse !== undefined) this.#checkSparse(sparse, path, count, componentSize! * typeSize);
    });
  }

  #checkSparse(sparse: Item, path: string, count: number, elementSize: number): void {
    const sparseCount = this.#integer(sparse?.count, `${path}.sparse.count`, 1, count);
    const indices = sparse.indices as Item | undefined;
    const values = sparse.values as Item | undefined;
    const indexSize = INDEX_SIZES.get(indices?.componentType as number);
    if (!indices || !indexSize)
      throw this.#invalid(
        `${path}.sparse.indices.componentType`,
        indices?.componentType,
        '5121, 5123 or 5125',
      );
    if (!values) throw this.#invalid(`${path}.sparse.values`, 'nothing', 'a buffer view');
    for (const [name, part] of [
      ['indices', indices],
      ['values', values],
    ] as const) {
      this.#index(part.bufferView, `${path}.sparse.${name}.bufferView`, 'bufferViews');
    }
    this.#checkSpan(indices, `${path}.sparse.indices`, sparseCount, indexSize);
    this.#checkSpan(values, `${path}.sparse.values`, sparseCount, elementSize);
  }

  #checkSpan(accessor: Item, path: string, count: number, elementSize: number): void {
    if (accessor.bufferView === undefined) return;
    const view =
      this.#lists.bufferViews[this.#index(accessor.bufferView, `${path}.bufferView`, 'bufferViews')]!;
    const offset = this.#integer(accessor.byteOffset ?? 0, `${path}.byteOffset`, 0, Infinity);
    const stride = (view.byteStride as number | undefined) ?? elementSize;
    if (stride < elementSize)
      throw this.#invalid(`${path}.bufferView`, `a stride of ${stride}`, `at least ${elementSize}`);
    const needed = offset + stride * (count - 1) + elementSize;
    if (needed > (view.byteLength as number)) {
      throw this.#invalid(
        `${path}.count`,
        count,
        `no more than its buffer view of ${view.byteLength} bytes holds`,
      );
    }
  }

  #checkMeshes(): void {
    this.#lists.meshes.forEach((mesh, i) => {
      const { primitives } = mesh;
      if (!Array.isArray(primitives))
        throw this.#invalid(`meshes[${i}].primitives`, typeof primitives, 'an array');
      primitives.forEach((primitive: Item | null, k) => {
        const path = `meshes[${i}].primitives[${k}]`;
        const counts = this.#checkAttributes(primitive?.attributes, `${path}.attributes`);
        if (primitive?.indices !== undefined) this.#checkIndices(primitive.indices, `${path}.indices`);
        const mode = primitive?.mode ?? 4;
        if (!Number.isInteger(mode) || (mode as number) < 0 || (mode as number) > 6)
          throw this.#invalid(`${path}.mode`, mode, '0 to 6');
        const targets = primitive?.targets ?? [];
        if (!Array.isArray(targets)) throw this.#invalid(`${path}.targets`, typeof targets, 'an array');
        for (const [t, target] of targets.entries()) {
          for (const count of this.#checkAttributes(target, `${path}.targets[${t}]`)) counts.add(count);
        }
        if (counts.size > 1)
          throw this.#invalid(
            path,
            `attributes of ${[...counts].slice(0, 4).join(', ')} elements`,
            'one count for all',
          );
      });
    });
  }

  #checkIndices(index: unknown, path: string): void {
    const { type, componentType } = this.#lists.accessors[this.#index(index, path, 'accessors')]!;
    if (type !== 'SCALAR' || !INDEX_SIZES.has(componentType as number)) {
      throw this.#invalid(path, `${type} of ${componentType}`, 'SCALAR of 5121, 5123 or 5125');
    }
  }

  #checkAttributes(attributes: unknown, path: string): Set<unknown> {
    if (typeof attributes !== 'object' || attributes === null)
      throw this.#invalid(path, typeof attributes, 'an object');
    return new Set(
      Object.entries(attributes).map(
        ([name, index]) => this.#lists.accessors[this.#index(index, `${path}.${name}`, 'accessors')]!.count,
      ),
    );
  }

  #checkNodes(): void {
    const { nodes } = this.#lists;
    const parents = new Int32Array(nodes.length).fill(-1);
    nodes.forEach((node, i) => {
      const path = `nodes[${i}]`;
      for (const [name, length] of TRANSFORMS) {
        if (node[name] !== undefined) this.#checkNumbers(node[name], length, `${path}.${name}`);
      }
      if (node.mesh !== undefined) this.#index(node.mesh, `${path}.mesh`, 'meshes');
      if (node.skin !== undefined) this.#index(node.skin, `${path}.skin`, 'skins');
      for (const child of this.#indices(node.children ?? [], `${path}.children`)) {
        if (parents[child]! >= 0)
          throw this.#invalid(`${path}.children`, `node ${child} a second time`, 'one parent for each node');
        parents[child] = i;
      }
    });
    const states = new Uint8Array(nodes.length);
    for (let i = 0; i < nodes.length; i++) {
      let node = i;
      for (; node >= 0 && states[node] === 0; node = parents[node]!) states[node] = 1;
      if (node >= 0 && states[node] === 1)
        throw this.#invalid(`nodes[${node}].children`, 'a circle', 'trees of nodes');
      for (node = i; node >= 0 && states[node] === 1; node = parents[node]!) states[node] = 2;
    }
    this.#lists.scenes.forEach((scene, i) => {
      this.#indices(scene.nodes ?? [], `scenes[${i}].nodes`);
    });
    this.#lists.skins.forEach((skin, i) => {
      const joints = this.#indices(skin.joints, `skins[${i}].joints`);
      if (skin.inverseBindMatrices === undefined) return;
      const path = `skins[${i}].inverseBindMatrices`;
      const matrices = this.#lists.accessors[this.#index(skin.inverseBindMatrices, path, 'accessors')]!;
      if ((matrices.count as number) < joints.length)
        throw this.#invalid(path, `${matrices.count} matrices`, `at least ${joints.length}`);
    });
    if (this.#json.scene !== undefined) this.#index(this.#json.scene, 'scene', 'scenes');
  }

  #checkNumbers(value: unknown, length: number, path: string): void {
    if (Array.isArray(value) && value.length === length && value.every(Number.isFinite)) return;
    throw this.#invalid(
      path,
      Array.isArray(value) ? 'an array of something else' : value,
      `${length} finite numbers`,
    );
  }

  #indices(value: unknown, path: string): readonly number[] {
    if (!Array.isArray(value)) throw this.#invalid(path, typeof value, 'an array');
    return value.map((index, i) => this.#index(index, `${path}[${i}]`, 'nodes'));
  }

  #index(value: unknown, path: string, list: (typeof LISTS)[number]): number {
    return this.#integer(value, path, 0, this.#lists[list].length - 1);
  }

  #integer(value: unknown, path: string, least: number, most: number): number {
    if (Number.isSafeInteger(value) && (value as number) >= least && (value as number) <= most)
      return value as number;
    throw this.#invalid(
      path,
      value,
      most === Infinity ? `a whole number from ${least}` : `a whole number from ${least} to ${most}`,
    );
  }

  #invalid(path: string, got: unknown, expected: string): FormatError {
    const shown = typeof got === 'object' ? 'an object' : String(got).slice(0, 40);
    return new FormatError(
      'FORMAT_INVALID',
      `${this.#caller}: ${path} is not valid, got ${shown}, expected ${expected}`,
      { path },
    );
  }
}
