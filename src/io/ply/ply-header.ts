import { FormatError } from '../../errors.js';
import { CR, LF, quoteText } from '../scan-bytes.js';

export type PlyEncoding = 'ascii' | 'binary_little_endian' | 'binary_big_endian';
export type PlyType = 'int8' | 'uint8' | 'int16' | 'uint16' | 'int32' | 'uint32' | 'float32' | 'float64';

export const PLY_TYPE_SIZES: Readonly<Record<PlyType, number>> = Object.freeze({
  int8: 1,
  uint8: 1,
  int16: 2,
  uint16: 2,
  int32: 4,
  uint32: 4,
  float32: 4,
  float64: 8,
});

export interface PlyProperty {
  readonly name: string;
  readonly type: PlyType;
  /** Type of the count that stands before a list's values; absent for a single value. */
  readonly countType?: PlyType;
}

export interface PlyElement {
  readonly name: string;
  readonly count: number;
  readonly properties: readonly PlyProperty[];
}

export interface PlyHeader {
  readonly encoding: PlyEncoding;
  readonly elements: readonly PlyElement[];
  /** Offset of the first byte after the header. */
  readonly dataStart: number;
  readonly dataLine: number;
}

const TYPE_NAMES = new Map<string, PlyType>([
  ['char', 'int8'],
  ['uchar', 'uint8'],
  ['short', 'int16'],
  ['ushort', 'uint16'],
  ['int', 'int32'],
  ['uint', 'uint32'],
  ['float', 'float32'],
  ['double', 'float64'],
  ...(Object.keys(PLY_TYPE_SIZES) as PlyType[]).map((type): [string, PlyType] => [type, type]),
]);

/** No header a program writes is longer; without a bound noise would be searched to its end. */
const LONGEST_HEADER = 1 << 20;

/** Reads the header of a PLY file. @throws FORMAT_INVALID with the line */
export function readPlyHeader(bytes: Uint8Array, caller: string): PlyHeader {
  let line = 0;
  const fail = (problem: string): never => {
    throw new FormatError('FORMAT_INVALID', `${caller}: line ${line}: ${problem}`, { line });
  };
  let encoding: PlyEncoding | undefined;
  const elements: { name: string; count: number; properties: PlyProperty[] }[] = [];
  for (let i = 0; ; ) {
    line++;
    let end = i;
    while (end < bytes.length && end < LONGEST_HEADER && bytes[end] !== LF && bytes[end] !== CR) end++;
    if (end === LONGEST_HEADER) fail('the header is too long, expected end_header within 1 MiB');
    const text = new TextDecoder('latin1').decode(bytes.subarray(i, end));
    if (line === 1 && text !== 'ply')
      fail(`the file does not start as PLY, got ${quoteText(text)}, expected "ply"`);
    if (end === bytes.length && text !== 'end_header') fail('the header ends early, expected end_header');
    i = bytes[end] === CR && bytes[end + 1] === LF ? end + 2 : end + 1;
    const words = text.trim().split(/\s+/);
    const [keyword] = words;
    if (keyword === 'end_header') {
      if (!encoding) return fail('the header names no format, expected a format line');
      return { encoding, elements, dataStart: Math.min(i, bytes.length), dataLine: line + 1 };
    }
    if (keyword === 'format') {
      const name = words[1] ?? '';
      if (name !== 'ascii' && name !== 'binary_little_endian' && name !== 'binary_big_endian') {
        return fail(
          `unknown format, got ${quoteText(name)}, expected ascii, binary_little_endian or binary_big_endian`,
        );
      }
      encoding = name;
    } else if (keyword === 'element') {
      const count = /^\d{1,15}$/.test(words[2] ?? '') ? Number(words[2]) : -1;
      if (count < 0) fail(`bad element count, got ${quoteText(words[2] ?? '')}, expected a whole number`);
      elements.push({ name: words[1]!, count, properties: [] });
    } else if (keyword === 'property') {
      const element = elements.at(-1);
      if (!element) return fail('a property stands before any element, expected an element line first');
      const isList = words[1] === 'list';
      const names = isList ? words.slice(2, 4) : words.slice(1, 2);
      const types = names.map(
        (name) =>
          TYPE_NAMES.get(name) ??
          fail(`unknown type, got ${quoteText(name)}, expected one such as float or uchar`),
      );
      const name = words[isList ? 4 : 2];
      if (!name || types.length < (isList ? 2 : 1))
        return fail(`bad property, got ${quoteText(text)}, expected a type and a name`);
      if (isList && types[0]!.startsWith('float'))
        fail(`a list cannot be counted in ${types[0]}, expected a whole-number type`);
      element.properties.push(
        isList ? { name, type: types[1]!, countType: types[0]! } : { name, type: types[0]! },
      );
      if (element.properties.length > 1000) fail('too many properties, expected at most 1000 in an element');
    } else if (line > 1 && keyword !== 'comment' && keyword !== 'obj_info' && keyword !== '') {
      fail(
        `unknown header line, got ${quoteText(text)}, expected format, element, property, comment or end_header`,
      );
    }
  }
}
