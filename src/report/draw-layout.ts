import type { Mesh } from '../mesh/index.js';
import { placeLabels } from './chart-labels.js';
import type { DrawnSet } from './drawn-set.js';
import { escapeMarkup } from './escape-markup.js';
import { traceOutlines } from './layout-outlines.js';
import type { SeamStyle } from './palette.js';
import { BORDER_STYLE, CHART_FILL, FAINT_INK, INK, PAPER } from './palette.js';
import { findEdgeSeams } from './seam-lookup.js';
import { styleSeams } from './seam-styles.js';

export interface DrawLayoutOptions {
  /**
   * Side of one square in picture units. Range 100..10000.
   * @defaultValue 1000
   */
  readonly size?: number;
  /**
   * Whether the mesh's inner edges are drawn faintly.
   * @defaultValue false
   */
  readonly hasEdges?: boolean;
  /**
   * Whether charts carry the name of their part.
   * @defaultValue true
   */
  readonly hasLabels?: boolean;
  /**
   * What lies behind the charts. With 'clear' there is nothing, no margin either: the picture's edges are those
   * of the sheet, so that it can be a layer over the painting, at any resolution.
   * @defaultValue 'paper'
   */
  readonly ground?: 'paper' | 'clear';
  /**
   * Title of the picture, read out by screen readers.
   * @defaultValue 'UV layout'
   */
  readonly title?: string;
}

export const DRAW_LAYOUT_DEFAULTS: Readonly<Required<DrawLayoutOptions>> = Object.freeze({
  size: 1000,
  hasEdges: false,
  hasLabels: true,
  ground: 'paper',
  title: 'UV layout',
});

/**
 * Draws a layout as an SVG document: chart outlines, each seam in one style on both of its sides, and part
 * names. Any UVs can be drawn; without seams the outlines are plain.
 *
 * @param layout - uv of every corner, 2 × cornerCount; corners with NaN are left out
 * @returns the same text for the same input
 *
 * Linear in the size of the mesh.
 */
export function drawLayout(
  mesh: Mesh,
  layout: { readonly uvs: Float64Array },
  set: DrawnSet = { seams: [] },
  options: DrawLayoutOptions = {},
): string {
  const { size, hasEdges, hasLabels, ground, title } = { ...DRAW_LAYOUT_DEFAULTS, ...options };
  const { uvs } = layout;
  const charts = traceOutlines(mesh, uvs, findEdgeSeams(mesh, set.seams));
  const styles = styleSeams(set.seams);
  const [columns, rows] = countTiles(uvs);
  const isClear = ground === 'clear';
  const margin = isClear ? 0 : size / 50;
  const x = (u: number) => trim(margin + u * size);
  const y = (v: number) => trim(margin + (rows - v) * size);
  const path = (points: readonly number[], isClosed: boolean) => {
    let text = '';
    for (let i = 0; i < points.length; i += 2)
      text += `${i === 0 ? 'M' : 'L'}${x(points[i]!)} ${y(points[i + 1]!)}`;
    return isClosed ? `${text}Z` : text;
  };
  const width = trim(columns * size + 2 * margin);
  const height = trim(rows * size + 2 * margin);
  const lines = [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" font-family="system-ui, sans-serif">`,
    `<title>${escapeMarkup(title)}</title>`,
  ];
  if (!isClear) lines.push(`<rect width="${width}" height="${height}" fill="${PAPER}"/>`);
  for (let row = 0; row < rows && !isClear; row++)
    for (let column = 0; column < columns; column++)
      lines.push(
        `<rect x="${x(column)}" y="${y(row + 1)}" width="${size}" height="${size}" fill="none" stroke="${FAINT_INK}" stroke-width="${trim(size / 800)}"/>`,
      );
  const fills = charts.map((chart) => chart.loops.map((loop) => path(loop, true)).join(''));
  if (!isClear)
    lines.push(
      `<g fill="${CHART_FILL}" fill-rule="evenodd">`,
      ...fills.map((d) => `<path d="${d}"/>`),
      '</g>',
    );
  if (hasEdges) {
    const d = innerEdges(mesh, uvs, path);
    lines.push(`<path d="${d}" fill="none" stroke="${FAINT_INK}" stroke-width="${trim(size / 2500)}"/>`);
  }
  lines.push(`<g fill="none" stroke-linejoin="round" stroke-width="${trim(size / 400)}">`);
  for (const chart of charts)
    for (const run of chart.runs) {
      const style = styles[run.seam] ?? BORDER_STYLE;
      lines.push(`<path d="${path(run.points, run.isClosed)}" ${strokeOf(style, size / 400)}/>`);
    }
  lines.push('</g>');
  if (hasLabels)
    lines.push(
      `<g fill="${INK}" text-anchor="middle" dominant-baseline="central">`,
      ...placeLabels(mesh, uvs, charts, set).map(
        (label) =>
          `<text x="${x(label.u)}" y="${y(label.v)}" font-size="${trim(label.size * size)}">${escapeMarkup(label.text)}</text>`,
      ),
      '</g>',
    );
  lines.push('</svg>', '');
  return lines.join('\n');
}

/** Stroke attributes of a seam style at a line width. */
function strokeOf({ colour, dash }: SeamStyle, width: number): string {
  if (dash === '') return `stroke="${colour}"`;
  const lengths = dash.split(' ').map((part) => trim(Number(part) * width));
  return `stroke="${colour}" stroke-dasharray="${lengths.join(' ')}"`;
}

/** How many unit squares the UVs need in u and v, at least one each and ten across. */
function countTiles(uvs: Float64Array): [number, number] {
  let u = 1;
  let v = 1;
  for (let i = 0; i < uvs.length; i += 2) {
    if (uvs[i]! > u) u = uvs[i]!;
    if (uvs[i + 1]! > v) v = uvs[i + 1]!;
  }
  return [Math.min(10, Math.ceil(u - 1e-9)), Math.min(10, Math.ceil(v - 1e-9))];
}

function innerEdges(
  mesh: Mesh,
  uvs: Float64Array,
  path: (points: number[], isClosed: boolean) => string,
): string {
  let d = '';
  for (let e = 0; e < mesh.edgeCount; e++) {
    const h = mesh.edgeHalfEdges[e]!;
    const g = mesh.next[h]!;
    const points = [uvs[2 * h]!, uvs[2 * h + 1]!, uvs[2 * g]!, uvs[2 * g + 1]!];
    if (mesh.twin[h]! >= 0 && points.every(Number.isFinite)) d += path(points, false);
  }
  return d;
}

/** At most two decimals. */
const trim = (value: number): string => String(Math.round(value * 100) / 100 + 0);
