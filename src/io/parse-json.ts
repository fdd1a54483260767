import { FormatError } from '../errors.js';
import { decodeText } from './scan-bytes.js';

/** No mesh file nests deeper; a deeper one is hostile. */
const DEEPEST_NESTING = 100;

/**
 * Parses JSON text or UTF-8 bytes.
 *
 * @throws FORMAT_INVALID for bad UTF-8, bad JSON, or nesting deeper than 100; FORMAT_TOO_LARGE
 */
export function parseJson(source: string | Uint8Array, caller: string): unknown {
  const text = typeof source === 'string' ? source : decodeText(source, caller);
  checkNesting(text, caller);
  try {
    return JSON.parse(text.charCodeAt(0) === 0xfeff ? text.slice(1) : text);
  } catch (cause) {
    throw new FormatError(
      'FORMAT_INVALID',
      `${caller}: the text is not JSON: ${(cause as Error).message}`,
      {},
      { cause },
    );
  }
}

function checkNesting(text: string, caller: string): void {
  let depth = 0;
  let isString = false;
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (isString) {
      if (code === 92 /* \ */) i++;
      else if (code === 34 /* " */) isString = false;
    } else if (code === 34) isString = true;
    else if (code === 91 /* [ */ || code === 123 /* { */) {
      if (++depth > DEEPEST_NESTING) {
        throw new FormatError(
          'FORMAT_INVALID',
          `${caller}: the JSON nests too deep, expected at most ${DEEPEST_NESTING} levels`,
          { position: i },
        );
      }
    } else if (code === 93 /* ] */ || code === 125 /* } */) depth--;
  }
}
