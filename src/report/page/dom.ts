type Child = Node | string | undefined;

/** An element with attributes and children; every text becomes a text node, never markup. */
export function element<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Readonly<Record<string, string | number | boolean | undefined>> = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  const node = document.createElement(tag);
  setAttributes(node, attributes);
  node.append(...children.filter((child) => child !== undefined));
  return node;
}

/** The same for SVG. */
export function drawing(
  tag: string,
  attributes: Readonly<Record<string, string | number | boolean | undefined>> = {},
  ...children: readonly Child[]
): SVGElement {
  const node = document.createElementNS('http://www.w3.org/2000/svg', tag);
  setAttributes(node, attributes);
  node.append(...children.filter((child) => child !== undefined));
  return node;
}

function setAttributes(
  node: Element,
  attributes: Readonly<Record<string, string | number | boolean | undefined>>,
): void {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === false) continue;
    if (name === 'style') (node as HTMLElement).style.cssText = String(value);
    else node.setAttribute(name, value === true ? '' : String(value));
  }
}

/** A number for reading: about three figures. */
export function figure(value: number): string {
  if (!Number.isFinite(value)) return 'unknown';
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1000) return String(Math.round(value));
  const digits = Math.min(4, Math.max(0, 2 - Math.floor(Math.log10(size))));
  return String(Number(value.toFixed(digits)));
}

/** A share of one in per cent. */
export const share = (value: number): string => `${Math.round(100 * value)} %`;

/** The text with every per cent sign kept on the line of its number. */
export const keepTogether = (text: string): string => text.replaceAll(' %', '\u00a0%');
