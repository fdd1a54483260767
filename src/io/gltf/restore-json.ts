import type { GltfJson } from './container.js';

type Item = Record<string, unknown>;

/** Lists that the library writes in the order it read them, so that indices into them stay true. */
const STABLE_LISTS = [
  'scenes',
  'nodes',
  'meshes',
  'materials',
  'animations',
  'skins',
  'cameras',
  'images',
] as const;

/**
 * The written JSON with what the library loses put back: the matrices of nodes, which it takes apart into a
 * translation, a rotation and a scale even where that cannot be done, and those extensions that it does not
 * know, as far as they point only at lists whose order is kept. An extension that points at accessors, buffer
 * views or textures would point elsewhere, and is left out.
 */
export function restoreJson(source: GltfJson, written: object, known: ReadonlySet<string>): object {
  const result = structuredClone(written) as Item;
  const unknown = listPortable(source, known);
  forEachPair(source, result, 'nodes', (from, to) => {
    if (from.matrix === undefined) return;
    to.matrix = from.matrix;
    for (const name of ['translation', 'rotation', 'scale']) delete to[name];
  });
  if (unknown.length === 0) return result;
  copyExtensions(source, result, unknown);
  for (const name of STABLE_LISTS) {
    forEachPair(source, result, name, (from, to) => {
      copyExtensions(from, to, unknown);
      if (name !== 'meshes') return;
      forEachPair(from, to, 'primitives', (fromPart, toPart) => copyExtensions(fromPart, toPart, unknown));
    });
  }
  result.extensionsUsed = [...new Set([...((result.extensionsUsed ?? []) as string[]), ...unknown])];
  return result;
}

function forEachPair(
  from: GltfJson,
  to: GltfJson,
  list: string,
  visit: (from: Item, to: Item) => void,
): void {
  const target = (to[list] ?? []) as Item[];
  ((from[list] ?? []) as Item[]).forEach((item, i) => {
    if (target[i]) visit(item, target[i]);
  });
}

/** Unknown extensions of the file that survive writing, and those that do not. */
export function sortUnknown(
  source: GltfJson,
  known: ReadonlySet<string>,
): { kept: string[]; lost: string[] } {
  const kept = listPortable(source, known);
  return { kept, lost: listUsed(source).filter((name) => !known.has(name) && !kept.includes(name)) };
}

const listUsed = (source: GltfJson): string[] =>
  Array.isArray(source.extensionsUsed)
    ? source.extensionsUsed.filter((name) => typeof name === 'string')
    : [];

function listPortable(source: GltfJson, known: ReadonlySet<string>): string[] {
  const tied = new Set<string>();
  const visit = (value: unknown): void => {
    if (typeof value !== 'object' || value === null) return;
    if (!Array.isArray(value)) {
      const { extensions } = value as Item;
      if (typeof extensions === 'object' && extensions !== null) {
        for (const [name, extension] of Object.entries(extensions)) if (pointsAway(extension)) tied.add(name);
      }
    }
    for (const inner of Object.values(value)) visit(inner);
  };
  visit(source);
  return listUsed(source).filter((name) => !known.has(name) && !tied.has(name) && name !== '__proto__');
}

function pointsAway(value: unknown): boolean {
  if (typeof value !== 'object' || value === null) return false;
  return Object.entries(value).some(
    ([key, inner]) => /accessor|bufferview|texture|sampler/i.test(key) || pointsAway(inner),
  );
}

function copyExtensions(from: GltfJson, to: Item, names: readonly string[]): void {
  const extensions = from.extensions as Item | undefined;
  for (const name of names) {
    if (typeof extensions !== 'object' || extensions === null || !Object.hasOwn(extensions, name)) continue;
    to.extensions = { ...(to.extensions as Item | undefined), [name]: extensions[name] };
  }
}
