import { UsdaScanner } from './usda-scanner.js';

/** Bytes `start` to `end` of the file. */
export interface ByteRange {
  readonly start: number;
  readonly end: number;
}

/** A property as it stands in the file. */
export interface UsdaProperty extends ByteRange {
  /** Such as `point3f[]`; empty for a relationship. */
  readonly type: string;
  /** With its namespace and a suffix such as `.timeSamples`. */
  readonly name: string;
  readonly value?: ByteRange;
  readonly metadata?: ByteRange;
}

/** A prim as it stands in the file; `start` is that of its specifier, `end` after its closing brace. */
export interface UsdaPrim extends ByteRange {
  readonly specifier: string;
  /** Such as `Mesh`; empty where none is given. */
  readonly type: string;
  readonly name: string;
  readonly path: string;
  readonly metadata?: ByteRange;
  /** Between the braces. */
  readonly body: ByteRange;
  readonly properties: ReadonlyMap<string, UsdaProperty>;
  readonly children: readonly UsdaPrim[];
  /** Whether it has variants, whose prims are not read. */
  readonly hasVariants: boolean;
}

/** The prims of a .usda file and the parentheses of its stage metadata. */
export interface UsdaLayer {
  readonly scanner: UsdaScanner;
  readonly metadata?: ByteRange;
  readonly prims: readonly UsdaPrim[];
}

const SPECIFIERS = new Set(['def', 'over', 'class']);
const LIST_EDITS = new Set([
  'custom',
  'uniform',
  'varying',
  'config',
  'prepend',
  'append',
  'add',
  'delete',
  'reorder',
]);
const DEEPEST_PRIM = 100;
const MOST_PRIMS = 1_000_000;

/** Parses the structure of a .usda file; values are only delimited. @throws FORMAT_INVALID with the line */
export function parseUsda(bytes: Uint8Array, caller: string): UsdaLayer {
  const scanner = new UsdaScanner(bytes, caller);
  const magic = new TextDecoder().decode(bytes.subarray(0, 64));
  if (!/^(\ufeff)?#usda 1\.\d/.test(magic)) {
    throw scanner.error(0, 'the file does not start as USD text, expected "#usda 1.0"');
  }
  return new UsdaParser(scanner).parseLayer();
}

class UsdaParser {
  readonly #scanner: UsdaScanner;
  #primCount = 0;

  constructor(scanner: UsdaScanner) {
    this.#scanner = scanner;
  }

  parseLayer(): UsdaLayer {
    const scanner = this.#scanner;
    const metadata = this.#parseMetadata();
    const prims: UsdaPrim[] = [];
    while (scanner.peek() !== undefined) {
      const start = scanner.offset;
      const word = scanner.readWord();
      if (SPECIFIERS.has(word)) prims.push(this.#parsePrim(word, start, '', 1));
      else if (word === 'reorder' || word === '') this.#skipStray(start, word);
      else
        throw scanner.error(start, `unknown statement "${word.slice(0, 40)}", expected def, over or class`);
    }
    return metadata ? { scanner, metadata, prims } : { scanner, prims };
  }

  #skipStray(start: number, word: string): void {
    const scanner = this.#scanner;
    if (word === 'reorder') {
      scanner.readWord();
      scanner.skipIf('=');
      scanner.skipValue();
    } else if (!scanner.skipIf(';')) throw scanner.error(start, 'unexpected character, expected a prim');
  }

  #parseMetadata(): ByteRange | undefined {
    const scanner = this.#scanner;
    if (scanner.peek() !== 40 /* ( */) return undefined;
    const start = scanner.offset;
    scanner.skipValue();
    return { start, end: scanner.offset };
  }

  #parsePrim(specifier: string, start: number, parentPath: string, depth: number): UsdaPrim {
    const scanner = this.#scanner;
    if (depth > DEEPEST_PRIM)
      throw scanner.error(start, `the prims nest too deep, expected at most ${DEEPEST_PRIM} levels`);
    if (++this.#primCount > MOST_PRIMS)
      throw scanner.error(start, `too many prims, expected at most ${MOST_PRIMS}`);
    const type = scanner.readWord();
    const mark = scanner.peek();
    if (mark !== 34 && mark !== 39)
      throw scanner.error(scanner.offset, 'a prim has no name, expected one in quotation marks');
    const name = scanner.readString();
    const path = `${parentPath}/${name}`;
    const metadata = this.#parseMetadata();
    if (!scanner.skipIf('{'))
      throw scanner.error(scanner.offset, `the prim ${path.slice(0, 80)} has no body, expected "{"`);
    const bodyStart = scanner.offset;
    const properties = new Map<string, UsdaProperty>();
    const children: UsdaPrim[] = [];
    let hasVariants = false;
    while (!scanner.skipIf('}')) {
      if (scanner.peek() === undefined)
        throw scanner.error(start, `the prim ${path.slice(0, 80)} does not end, expected "}"`);
      const itemStart = scanner.offset;
      const word = scanner.readWord();
      if (SPECIFIERS.has(word)) children.push(this.#parsePrim(word, itemStart, path, depth + 1));
      else if (word === 'variantSet') {
        hasVariants = true;
        scanner.skipValue();
        scanner.skipIf('=');
        scanner.skipValue();
      } else if (word !== '') {
        const property = this.#parseProperty(word, itemStart);
        properties.set(property.name, property);
      } else if (!scanner.skipIf(';'))
        throw scanner.error(itemStart, 'unexpected character in a prim, expected a property or "}"');
    }
    const body = { start: bodyStart, end: scanner.offset - 1 };
    const range = { start, end: scanner.offset };
    return {
      specifier,
      type,
      name,
      path,
      ...(metadata && { metadata }),
      body,
      properties,
      children,
      hasVariants,
      ...range,
    };
  }

  #parseProperty(firstWord: string, start: number): UsdaProperty {
    const scanner = this.#scanner;
    let word = firstWord;
    while (LIST_EDITS.has(word)) word = scanner.readWord();
    let type = '';
    if (word !== 'rel' && word !== 'nameChildren' && word !== 'properties') {
      type = word;
      if (scanner.skipIf('[')) {
        if (!scanner.skipIf(']')) throw scanner.error(start, 'bad type, expected "[]"');
        type += '[]';
      }
    }
    const isList = word === 'nameChildren' || word === 'properties';
    const name = isList ? word : scanner.readWord();
    if (!name) throw scanner.error(start, `bad property "${type.slice(0, 40)}", expected a type and a name`);
    let end = scanner.offset;
    let value: ByteRange | undefined;
    if (scanner.skipIf('=')) {
      scanner.peek();
      const valueStart = scanner.offset;
      scanner.skipValue();
      end = scanner.offset;
      value = { start: valueStart, end };
    }
    const metadata = this.#parseMetadata();
    if (metadata) end = metadata.end;
    return { type, name, ...(value && { value }), ...(metadata && { metadata }), start, end };
  }
}

/** Value of `name = …` at the top level of a parenthesised metadata block. */
export function findMetadata(
  scanner: UsdaScanner,
  range: ByteRange | undefined,
  name: string,
): ByteRange | undefined {
  if (!range) return undefined;
  const walker = new UsdaScanner(scanner.bytes.subarray(0, range.end - 1), 'readUsda');
  walker.offset = range.start + 1;
  while (walker.peek() !== undefined) {
    const word = walker.readWord();
    if (word === '') {
      walker.skipValue();
      continue;
    }
    if (LIST_EDITS.has(word) || !walker.skipIf('=')) continue;
    walker.peek();
    const start = walker.offset;
    walker.skipValue();
    if (word === name) return { start, end: walker.offset };
  }
  return undefined;
}

/** The content of a value that is a string, or undefined. */
export function readText(scanner: UsdaScanner, range: ByteRange | undefined): string | undefined {
  if (!range) return undefined;
  const text = new TextDecoder().decode(scanner.bytes.subarray(range.start, range.end));
  return /^(["']).*\1$/s.test(text) ? text.replace(/^("""|'''|["'])(.*)\1$/s, '$2') : undefined;
}
