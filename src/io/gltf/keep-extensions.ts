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
 * The written JSON with those extensions of the source put back that the library does not know, as far as
 * they point only at lists whose order is kept. One that points at accessors, buffer views or textures would
 * point elsewhere, and is left out.
 */
export function keepExtensions(source: GltfJson, written: object, known: ReadonlySet<string>): object {
  const unknown = listPortable(source, known);
  if (unknown.length === 0) return written;
  const result = structuredClone(written) as Item;
  copyExtensions(source, result, unknown);
  for (const name of STABLE_LISTS) {
    const from = (source[name] ?? []) as Item[];
    const to = (result[name] ?? []) as Item[];
    from.forEach((item, i) => {
      if (!to[i]) return;
      copyExtensions(item, to[i], unknown);
      if (name !== 'meshes') return;
      const primitives = (to[i].primitives ?? []) as Item[];
      ((item.primitives ?? []) as Item[]).forEach((primitive, k) => {
        if (primitives[k]) copyExtensions(primitive, primitives[k], unknown);
      });
    });
  }
  result.extensionsUsed = [...new Set([...((result.extensionsUsed ?? []) as string[]), ...unknown])];
  return result;
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
