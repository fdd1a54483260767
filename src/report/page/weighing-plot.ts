import { findParetoFront } from '../../ranking/index.js';
import type { ReviewDropped, ReviewFigures, ReviewModel } from '../review/review-model.js';
import type { FigureName } from './criteria.js';
import { CRITERIA } from './criteria.js';
import { drawing, element, figure } from './dom.js';
import type { PageStore } from './page-state.js';

const WIDTH = 300;
const HEIGHT = 190;
const MARGIN = { left: 70, right: 14, top: 12, bottom: 36 };

/**
 * Two criteria against each other; sets that no other beats on both are joined by a line, and candidates that were
 * dropped are small lozenges of which only the outline is drawn.
 */
export function makePlot(model: ReviewModel, store: PageStore): HTMLElement {
  const across = criterionSelect('plot-across', 'exposure');
  const up = criterionSelect('plot-up', 'predicted');
  const frame = element('div', { class: 'plot' });
  const told = element('p', { class: 'note told' });
  const draw = () => {
    told.textContent = tellDropped(model, across.value, up.value);
    frame.replaceChildren(
      drawPlot(model, store, across.value, up.value, (words) => {
        told.textContent = words || tellDropped(model, across.value, up.value);
      }),
    );
  };
  for (const select of [across, up]) select.addEventListener('change', draw);
  store.watch(['set', 'beside'], () => {
    // The dot that had the focus keeps it.
    const focused = frame.contains(document.activeElement)
      ? document.activeElement!.getAttribute('data-set')
      : null;
    draw();
    if (focused !== null) frame.querySelector<SVGElement>(`[data-set="${focused}"]`)?.focus();
  });
  return element(
    'div',
    {},
    element(
      'p',
      { class: 'axes' },
      element('span', {}, element('label', { for: 'plot-up' }, 'Upwards '), up),
      element('span', {}, element('label', { for: 'plot-across' }, 'across '), across),
    ),
    frame,
    ...(model.dropped.length > 0 ? [told, listDropped(model)] : []),
  );
}

/** Where the lozenges are, or why there are none. */
function tellDropped({ dropped }: ReviewModel, across: string, up: string): string {
  const missing = [across, up].filter((name) => dropped.some(({ figures }) => !(name in figures)));
  if (missing.length === 0) return 'Lozenges are candidates that were dropped; point at one for the reason.';
  const labels = new Set(missing.map((name) => CRITERIA.find((c) => c.name === name)!.label));
  return `Dropped candidates were never laid on a sheet, so they have no place by ${[...labels].join(' and ')}.`;
}

function listDropped(model: ReviewModel): HTMLElement {
  const rows = model.dropped.map((dropped) => {
    const { predicted, exposure, pieces } = dropped.figures;
    const facts = `${pieces} ${pieces === 1 ? 'piece' : 'pieces'}, stretch predicted ${figure(predicted)}, seam in view ${figure(exposure)}`;
    return element(
      'li',
      {},
      element('span', { class: 'name' }, dropped.name),
      element('span', { class: 'facts' }, ` ${facts}. ${whyDropped(model, dropped)}`),
    );
  });
  return element(
    'details',
    { class: 'dropped' },
    element('summary', {}, `Drawn and dropped: ${rows.length}`),
    element('ul', {}, ...rows),
  );
}

function whyDropped({ sets }: ReviewModel, { reason, beatenBy }: ReviewDropped): string {
  const by = sets[beatenBy] ? ` (set ${beatenBy + 1})` : '';
  return `Dropped: ${reason}${by}.`;
}

function criterionSelect(id: string, chosen: FigureName): HTMLSelectElement {
  const select = element('select', { id });
  for (const { name: key, label } of CRITERIA)
    select.append(element('option', { value: key, selected: key === chosen }, label));
  return select;
}

function drawPlot(
  model: ReviewModel,
  store: PageStore,
  acrossName: string,
  upName: string,
  tell: (words: string) => void,
): SVGElement {
  const across = CRITERIA.find((c) => c.name === acrossName)!;
  const up = CRITERIA.find((c) => c.name === upName)!;
  const values = model.sets.map(({ figures }) => [figures[across.name], figures[up.name]] as const);
  const front = findParetoFront(
    values.map(([x, y]) => [across.best === 'low' ? x : -x, up.best === 'low' ? y : -y]),
  );
  const marks = model.dropped.flatMap((dropped) => {
    const figures: Partial<ReviewFigures> = dropped.figures;
    const [x, y] = [figures[across.name], figures[up.name]];
    return x === undefined || y === undefined ? [] : [{ dropped, value: [x, y] as const }];
  });
  const axis = (k: 0 | 1) => {
    const list = [...values, ...marks.map(({ value }) => value)].map((value) => value[k]);
    const [low, high] = [Math.min(...list), Math.max(...list)];
    const pad = (high - low || Math.abs(high) || 1) * 0.15;
    return [Math.max(low >= 0 ? 0 : -Infinity, low - pad), high + pad] as const;
  };
  const [xs, ys] = [axis(0), axis(1)];
  const x = (value: number) =>
    MARGIN.left + ((value - xs[0]) / (xs[1] - xs[0])) * (WIDTH - MARGIN.left - MARGIN.right);
  const y = (value: number) =>
    HEIGHT - MARGIN.bottom - ((value - ys[0]) / (ys[1] - ys[0])) * (HEIGHT - MARGIN.top - MARGIN.bottom);
  const [left, right, top, bottom] = [MARGIN.left, WIDTH - MARGIN.right, MARGIN.top, HEIGHT - MARGIN.bottom];
  const text = (at: [number, number], words: string, extra = {}) =>
    drawing('text', { x: at[0], y: at[1], ...extra }, words);
  const sorted = front.map((i) => values[i]!).sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const plot = drawing(
    'svg',
    {
      viewBox: `0 0 ${WIDTH} ${HEIGHT}`,
      role: 'group',
      'aria-label': `Sets by ${across.label} and ${up.label}`,
    },
    drawing('path', { d: `M${left} ${top}V${bottom}H${right}`, class: 'rule' }),
    text([left, bottom + 14], across.show(xs[0])),
    text([right, bottom + 14], across.show(xs[1]), { 'text-anchor': 'end' }),
    text([(left + right) / 2, HEIGHT - 6], `${across.label} (${across.best} is better)`, {
      'text-anchor': 'middle',
    }),
    text([left - 5, bottom], up.show(ys[0]), { 'text-anchor': 'end' }),
    text([left - 5, top + 10], up.show(ys[1]), { 'text-anchor': 'end' }),
    // In two lines, since the longest label with the words after it is longer than the plot is high.
    ...[up.label, `(${up.best} is better)`].map((words, line) =>
      text([10 + 12 * line, (top + bottom) / 2], words, {
        'text-anchor': 'middle',
        transform: `rotate(-90 ${10 + 12 * line} ${(top + bottom) / 2})`,
      }),
    ),
    drawing('polyline', { points: sorted.map((v) => `${x(v[0])},${y(v[1])}`).join(' '), class: 'front' }),
  );
  for (const { dropped, value } of marks) {
    const words = `${dropped.name}: ${across.label} ${across.show(value[0])}, ${up.label} ${up.show(value[1])}. ${whyDropped(model, dropped)}`;
    const mark = drawing('path', {
      class: 'dropped',
      d: 'M0 -5L5 0L0 5L-5 0Z',
      tabindex: 0,
      role: 'img',
      'aria-label': words,
      transform: `translate(${x(value[0])} ${y(value[1])})`,
    });
    for (const event of ['pointerenter', 'focus']) mark.addEventListener(event, () => tell(words));
    for (const event of ['pointerleave', 'blur']) mark.addEventListener(event, () => tell(''));
    plot.append(mark);
  }
  values.forEach((value, i) => {
    const isFront = front.includes(i);
    const choose = () =>
      store.set({ set: i, aim: undefined, ...(store.state.beside === i && { beside: -1 }) });
    const dot = drawing(
      'g',
      {
        class: `dot${i === store.state.set ? ' chosen' : ''}${isFront ? ' best' : ''}`,
        tabindex: 0,
        role: 'button',
        'data-set': i,
        'aria-pressed': String(i === store.state.set),
        'aria-label': `Set ${i + 1} ${model.sets[i]!.name}: ${across.label} ${across.show(value[0])}, ${up.label} ${up.show(value[1])}${isFront ? ', beaten by none on both' : ''}`,
        transform: `translate(${x(value[0])} ${y(value[1])})`,
      },
      drawing('rect', { x: -11, y: -11, width: 22, height: 22, rx: isFront ? 11 : 3 }),
      drawing('text', { y: 4, 'text-anchor': 'middle' }, String(i + 1)),
    );
    dot.addEventListener('click', choose);
    dot.addEventListener('keydown', (event) => {
      if ((event as KeyboardEvent).key !== 'Enter' && (event as KeyboardEvent).key !== ' ') return;
      event.preventDefault();
      choose();
    });
    plot.append(dot);
  });
  return plot;
}
