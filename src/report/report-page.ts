import { escapeMarkup } from './escape-markup.js';
import { INK, PAPER } from './palette.js';

/** One line of a table of figures. */
export type Fact = readonly [label: string, value: string];

/** A table with a heading for each column. */
export interface ReportTable {
  readonly caption: string;
  readonly columns: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

export interface ReportPicture {
  readonly name: string;
  /** A PNG file. */
  readonly png: Uint8Array;
}

/** One seam set on the page. */
export interface ReportSet {
  readonly title: string;
  readonly summary: string;
  readonly facts: readonly Fact[];
  /** An SVG document by `drawLayout`; put in as a picture, so nothing in it can act on the page. */
  readonly layout: string;
  readonly views: readonly ReportPicture[];
  readonly tables: readonly ReportTable[];
}

export interface ReportPage {
  readonly title: string;
  readonly facts: readonly Fact[];
  readonly notes: readonly string[];
  /** Figures of all sets side by side. */
  readonly comparison: ReportTable;
  readonly sets: readonly ReportSet[];
}

const STYLE = `
:root { color-scheme: light dark; --paper: ${PAPER}; --ink: ${INK}; --rule: #d8d3c6; --sheet: #ffffff; }
@media (prefers-color-scheme: dark) { :root { --paper: #1d1b18; --ink: #ece7da; --rule: #4a463e; --sheet: ${PAPER}; } }
body { margin: 0 auto; max-width: 76rem; padding: 1.5rem; background: var(--paper); color: var(--ink); font: 1rem/1.5 system-ui, sans-serif; }
h1, h2 { font-weight: 600; line-height: 1.2; }
h2 { margin-top: 3rem; border-top: 1px solid var(--rule); padding-top: 1.5rem; }
.pictures { display: grid; grid-template-columns: repeat(auto-fit, minmax(9rem, 1fr)); gap: 0.75rem; }
.set { display: grid; grid-template-columns: repeat(auto-fit, minmax(20rem, 1fr)); gap: 1.5rem; }
figure { margin: 0; }
figure img { width: 100%; height: auto; background: var(--sheet); border: 1px solid var(--rule); }
figcaption { font-size: 0.85rem; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; font-size: 0.9rem; margin: 1rem 0; }
caption { text-align: left; font-weight: 600; padding-bottom: 0.25rem; }
th, td { text-align: left; padding: 0.2rem 0.9rem 0.2rem 0; border-bottom: 1px solid var(--rule); vertical-align: top; }
`;

/** A page that tells and shows the proposed sets: one file, no script, nothing fetched. All texts are escaped. */
export function writeReportPage(page: ReportPage): string {
  const parts = [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">`,
    `<title>${escapeMarkup(page.title)}</title>`,
    `<style>${STYLE}</style>`,
    '</head>',
    '<body>',
    `<h1>${escapeMarkup(page.title)}</h1>`,
    factTable(page.facts),
    ...page.notes.map((note) => `<p>${escapeMarkup(note)}</p>`),
    table(page.comparison),
    ...page.sets.map(section),
    '</body>',
    '</html>',
    '',
  ];
  return parts.join('\n');
}

function section(set: ReportSet): string {
  const title = escapeMarkup(set.title);
  const views = set.views.map(
    ({ name, png }) =>
      `<figure><img src="data:image/png;base64,${encodeBase64(png)}" alt="${title}, seen from: ${escapeMarkup(name)}"><figcaption>${escapeMarkup(name)}</figcaption></figure>`,
  );
  const layout = encodeBase64(new TextEncoder().encode(set.layout));
  return [
    '<section>',
    `<h2>${title}</h2>`,
    `<p>${escapeMarkup(set.summary)}</p>`,
    '<div class="set">',
    `<figure><img src="data:image/svg+xml;base64,${layout}" alt="${title}, the layout"><figcaption>layout</figcaption></figure>`,
    `<div>${factTable(set.facts)}<div class="pictures">${views.join('')}</div></div>`,
    '</div>',
    ...set.tables.map(table),
    '</section>',
  ].join('\n');
}

function factTable(facts: readonly Fact[]): string {
  const rows = facts.map(
    ([label, value]) => `<tr><th scope="row">${escapeMarkup(label)}</th><td>${escapeMarkup(value)}</td></tr>`,
  );
  return `<table><tbody>${rows.join('')}</tbody></table>`;
}

function table({ caption, columns, rows }: ReportTable): string {
  const head = columns.map((column) => `<th scope="col">${escapeMarkup(column)}</th>`).join('');
  const body = rows.map((row) => `<tr>${row.map((cell) => `<td>${escapeMarkup(cell)}</td>`).join('')}</tr>`);
  return `<div class="scroll"><table><caption>${escapeMarkup(caption)}</caption><thead><tr>${head}</tr></thead><tbody>${body.join('')}</tbody></table></div>`;
}

/** Base64 by the platform's own function, in pieces that fit its call stack. */
function encodeBase64(bytes: Uint8Array): string {
  let binary = '';
  for (let i = 0; i < bytes.length; i += 8192) binary += String.fromCharCode(...bytes.subarray(i, i + 8192));
  return btoa(binary);
}
