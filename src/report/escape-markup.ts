/**
 * Makes text safe inside XML or HTML, in an element or a quoted attribute: the five special characters are
 * escaped, and characters that XML 1.0 cannot hold become U+FFFD.
 */
export function escapeMarkup(text: string): string {
  let escaped = '';
  for (const character of text) {
    const code = character.codePointAt(0)!;
    const entity = ENTITIES.get(character);
    if (entity) escaped += entity;
    else escaped += isXmlCharacter(code) ? character : '\ufffd';
  }
  return escaped;
}

const ENTITIES: ReadonlyMap<string, string> = new Map([
  ['&', '&amp;'],
  ['<', '&lt;'],
  ['>', '&gt;'],
  ['"', '&quot;'],
  ["'", '&#39;'],
]);

const isXmlCharacter = (code: number): boolean =>
  code === 9 ||
  code === 10 ||
  code === 13 ||
  (code >= 0x20 && code <= 0xd7ff) ||
  (code >= 0xe000 && code <= 0xfffd) ||
  code >= 0x10000;
