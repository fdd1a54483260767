/// <reference path="./review-page.d.ts" />
import { pageScript, pageScriptHash } from 'virtual:review-page';
import { escapeMarkup } from './escape-markup.js';
import { PAGE_STYLE } from './page-style.js';
import { encodeBase64 } from './review/base64.js';
import type { PackedReview } from './review/pack-review.js';

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
  /** The model and its sets to turn, unfold and mark; without it the page holds still pictures only. */
  readonly review?: PackedReview;
}

/**
 * A page that tells and shows the proposed sets: one file, nothing fetched, no name of a file or mesh can
 * become markup. Its one script is our own, allowed by its hash; without scripts or WebGL the pictures,
 * tables and words remain.
 */
export function writeReportPage(page: ReportPage): string {
  const { review } = page;
  const scripts = review ? `; script-src '${pageScriptHash}'` : '';
  const policy = `default-src 'none'; img-src data:; style-src 'unsafe-inline'${scripts}; base-uri 'none'; form-action 'none'`;
  const parts = [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<meta http-equiv="Content-Security-Policy" content="${policy}">`,
    `<title>${escapeMarkup(page.title)}</title>`,
    `<style>${PAGE_STYLE}</style>`,
    '</head>',
    '<body>',
    '<main>',
    `<h1>${escapeMarkup(page.title)}</h1>`,
    ...(review ? ['<div id="review"></div>'] : []),
    '<h2>The sets in figures and pictures</h2>',
    factTable(page.facts),
    ...page.notes.map((note) => `<p>${escapeMarkup(note)}</p>`),
    table(page.comparison),
    ...page.sets.map((set) => section(set, !review)),
    '</main>',
    ...(review ? reviewScripts(review) : []),
    '</body>',
    '</html>',
    '',
  ];
  return parts.join('\n');
}

/** Data as script elements that never run, then the page's own script. */
function reviewScripts({ head, body }: PackedReview): string[] {
  return [
    `<script type="application/json" id="review-head">${head.replaceAll('<', '\\u003c')}</script>`,
    `<script type="text/plain" id="review-body">${body}</script>`,
    `<script>${pageScript}</script>`,
  ];
}

function section(set: ReportSet, isOpen: boolean): string {
  const title = escapeMarkup(set.title);
  const views = set.views.map(
    ({ name, png }) =>
      `<figure><img src="data:image/png;base64,${encodeBase64(png)}" alt="${title}, seen from: ${escapeMarkup(name)}"><figcaption>${escapeMarkup(name)}</figcaption></figure>`,
  );
  const layout = encodeBase64(new TextEncoder().encode(set.layout));
  return [
    `<details class="figures-of"${isOpen ? ' open' : ''}>`,
    `<summary>${title}</summary>`,
    `<p>${escapeMarkup(set.summary)}</p>`,
    '<div class="set">',
    `<figure><img src="data:image/svg+xml;base64,${layout}" alt="${title}, the layout"><figcaption>layout</figcaption></figure>`,
    `<div>${factTable(set.facts)}<div class="pictures">${views.join('')}</div></div>`,
    '</div>',
    ...set.tables.map(table),
    '</details>',
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
  return `<div class="scroll" tabindex="0" role="region" aria-label="${escapeMarkup(caption)}"><table><caption>${escapeMarkup(caption)}</caption><thead><tr>${head}</tr></thead><tbody>${body.join('')}</tbody></table></div>`;
}
