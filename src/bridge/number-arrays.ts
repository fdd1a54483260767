import { decodeBase64, encodeBase64 } from './base64.js';
import { BridgeError } from './error-codes.js';

/** How numbers travel in answers: as Base64 of little-endian typed arrays, or as JSON numbers. */
export type ArrayForm = 'base64' | 'numbers';

export type NumberArray = Float64Array | Int32Array;

const READERS = {
  float32: Float32Array,
  float64: Float64Array,
  int32: Int32Array,
  uint32: Uint32Array,
} as const;

/** Lists from this length on are turned into typed arrays when a message is unpacked. */
const PACKED_LENGTH = 64;

export interface NumberRule {
  readonly kind: 'float64' | 'int32';
  /** Smallest value; for `int32` usually 0. */
  readonly least?: number;
  /** NaN, which JSON writes as null, stands for "none". */
  readonly allowsNone?: boolean;
}

/**
 * A list of numbers from a request: a JSON array, or `{ "type": "float64", "base64": "…" }`.
 *
 * @param path - field, for the error
 * @throws invalidParams
 */
export function readNumbers(value: unknown, path: string, rule: NumberRule & { kind: 'int32' }): Int32Array;
export function readNumbers(
  value: unknown,
  path: string,
  rule: NumberRule & { kind: 'float64' },
): Float64Array;
export function readNumbers(value: unknown, path: string, rule: NumberRule): NumberArray {
  const source = ArrayBuffer.isView(value)
    ? (value as unknown as ArrayLike<number>)
    : Array.isArray(value)
      ? value
      : unpackBase64(value, path);
  const isInteger = rule.kind === 'int32';
  const out = isInteger ? new Int32Array(source.length) : new Float64Array(source.length);
  const least = rule.least ?? -Infinity;
  for (let i = 0; i < source.length; i++) {
    const item: unknown = source[i];
    if (rule.allowsNone && (item === null || Number.isNaN(item))) {
      out[i] = Number.NaN;
      continue;
    }
    const isGood =
      typeof item === 'number' &&
      Number.isFinite(item) &&
      item >= least &&
      (!isInteger || (Number.isInteger(item) && item <= 2147483647 && item >= -2147483648));
    if (!isGood) {
      const expected = isInteger
        ? `a whole number${least > -Infinity ? ` of at least ${least}` : ''}`
        : 'a finite number';
      throw invalidParams(`${path}[${i}]`, item, expected);
    }
    out[i] = item;
  }
  return out;
}

function unpackBase64(value: unknown, path: string): ArrayLike<number> {
  if (typeof value !== 'object' || value === null) {
    throw invalidParams(path, value, "a list of numbers, or an object with 'type' and 'base64'");
  }
  const { type, base64, ...others } = value as { type?: unknown; base64?: unknown };
  const unknown = Object.keys(others)[0];
  if (unknown !== undefined)
    throw invalidParams(`${path}.${unknown}`, 'a value', 'no such field; type, base64');
  if (typeof type !== 'string' || !Object.hasOwn(READERS, type)) {
    throw invalidParams(`${path}.type`, type, `one of ${Object.keys(READERS).join(', ')}`);
  }
  const bytes = typeof base64 === 'string' ? decodeBase64(base64) : undefined;
  if (!bytes) throw invalidParams(`${path}.base64`, base64, 'Base64 text with its padding');
  const Reader = READERS[type as keyof typeof READERS];
  if (bytes.length % Reader.BYTES_PER_ELEMENT !== 0) {
    throw invalidParams(
      `${path}.base64`,
      `${bytes.length} bytes`,
      `a multiple of ${Reader.BYTES_PER_ELEMENT}`,
    );
  }
  return new Reader(bytes.buffer as ArrayBuffer, 0, bytes.length / Reader.BYTES_PER_ELEMENT);
}

/**
 * Turns the long lists and the Base64 of a parsed request into typed arrays, where they are sound; what is not
 * stays, and is refused by name when the field is read.
 */
export function packNumbers(value: unknown, depth = 0): unknown {
  if (Array.isArray(value)) {
    return value.length >= PACKED_LENGTH && value.every((item) => typeof item === 'number')
      ? Float64Array.from(value as number[])
      : value;
  }
  if (typeof value !== 'object' || value === null || depth > 3) return value;
  if ('base64' in value && 'type' in value) {
    try {
      return unpackBase64(value, '');
    } catch {
      return value;
    }
  }
  return Object.fromEntries(
    Object.entries(value).map(([name, item]) => [name, packNumbers(item, depth + 1)]),
  );
}

/** JSON bytes of an answer's result. Numbers that JSON lacks become null. */
export function encodeResult(result: unknown, form: ArrayForm): Uint8Array {
  const text = JSON.stringify(result ?? null, (_name, item: unknown) => {
    if (!ArrayBuffer.isView(item)) return item;
    if (item instanceof Uint8Array) return encodeBase64(item);
    if (form === 'numbers') return Array.from(item as Float64Array);
    const bytes = new Uint8Array(item.buffer, item.byteOffset, item.byteLength);
    return { type: item instanceof Int32Array ? 'int32' : 'float64', base64: encodeBase64(bytes) };
  });
  return new TextEncoder().encode(text);
}

/** The error for a field of a request. */
export function invalidParams(field: string, got: unknown, expected: string): BridgeError {
  return new BridgeError(
    'invalidParams',
    `params: ${field} is not valid, got ${describe(got)}, expected ${expected}`,
    {
      field,
    },
  );
}

function describe(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (ArrayBuffer.isView(value) || Array.isArray(value)) return 'a list';
  if (typeof value === 'object' && value !== null) return 'an object';
  return String(value).slice(0, 40);
}
