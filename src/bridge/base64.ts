const ALPHABET = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';
const EQUALS = 61;
const CODES = Uint8Array.from(ALPHABET, (letter) => letter.charCodeAt(0));
const VALUES = new Uint8Array(128).fill(255);
CODES.forEach((code, value) => {
  VALUES[code] = value;
});

/** Base64 (RFC 4648, section 4) of bytes. */
export function encodeBase64(bytes: Uint8Array): string {
  const out = new Uint8Array(4 * Math.ceil(bytes.length / 3));
  let at = 0;
  for (let i = 0; i < bytes.length; i += 3) {
    const a = bytes[i]!;
    const b = i + 1 < bytes.length ? bytes[i + 1]! : 0;
    const c = i + 2 < bytes.length ? bytes[i + 2]! : 0;
    out[at++] = CODES[a >> 2]!;
    out[at++] = CODES[((a & 3) << 4) | (b >> 4)]!;
    out[at++] = i + 1 < bytes.length ? CODES[((b & 15) << 2) | (c >> 6)]! : EQUALS;
    out[at++] = i + 2 < bytes.length ? CODES[c & 63]! : EQUALS;
  }
  return new TextDecoder('latin1').decode(out);
}

/** The bytes, or undefined when the text is not Base64 with its padding. */
export function decodeBase64(text: string): Uint8Array | undefined {
  if (text.length % 4 !== 0) return undefined;
  const padding = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0;
  const out = new Uint8Array((text.length / 4) * 3 - padding);
  const letterCount = text.length - padding;
  let at = 0;
  let bits = 0;
  for (let i = 0; i < letterCount; i++) {
    const code = text.charCodeAt(i);
    const value = code < 128 ? VALUES[code]! : 255;
    if (value === 255) return undefined;
    bits = (bits << 6) | value;
    switch (i & 3) {
      case 1:
        out[at++] = (bits >> 4) & 255;
        break;
      case 2:
        out[at++] = (bits >> 2) & 255;
        break;
      case 3:
        out[at++] = bits & 255;
        bits = 0;
        break;
    }
  }
  return out;
}
