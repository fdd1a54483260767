import { describeTradeOff, findParetoFront } from '../../ranking/index.js';
import type { ReviewModel, ReviewSet } from '../review/review-model.js';
import { drawing, element, figure, share } from './dom.js';
import type { PageStore } from './page-state.js';

type FigureName = keyof ReviewSet['figures'];

/** Criteria in words; `best` tells which end is better. */
export const CRITERIA: readonly {
  readonly name: FigureName;
  readonly label: string;
  readonly best: 'low' | 'high';
  readonly show: (value: number) => string;
}[] = [
  { name: 'stretch', label: 'stretch', best: 'low', show: figure },
  { name: 'predicted', label: 'stretch predicted', best: 'low', show: figure },
  { name: 'exposure', label: 'seam in view', best: 'low', show: figure },
  { name: 'frontExposure', label: 'seam in view from the front', best: 'low', show: figure },
  { name: 'seamLength', label: 'seam length', best: 'low', show: figure },
  { name: 'pieces', label: 'pieces', best: 'low', show: String },
  { name: 'symmetry', label: 'mirrored', best: 'high', show: share },
  { name: 'fill', label: 'sheet filled', best: 'high', show: share },
  { name: 'score', label: 'score', best: 'high', show: figure },
];

/** Choice of the set, and of one to see beside it. */
export function makeSetPicker(model: ReviewModel, store: PageStore): HTMLElement {
  const cards = model.sets.map((set, i) => {
    const input = element('input', { type: 'radio', name: 'set', value: i });
    input.addEventListener('change', () =>
      store.set({ set: i, aim: undefined, ...(store.state.beside === i && { beside: -1 }) }),
    );
    const { pieces, stretch, exposure } = set.figures;
    const facts = `${pieces} ${pieces === 1 ? 'piece' : 'pieces'} · stretch ${stretch.toFixed(2)} · in view ${exposure.toFixed(1)}`;
    return {
      input,
      node: element(
        'label',
        { class: 'ticket' },
        input,
        element('span', { class: 'number', 'aria-hidden': 'true' }, String(i + 1)),
        element('span', { class: 'name' }, set.name),
        element('span', { class: 'facts' }, facts),
      ),
    };
  });
  const beside = element('select', { id: 'beside' }, element('option', { value: -1 }, 'nothing'));
  model.sets.forEach((set, i) => {
    beside.append(element('option', { value: i }, `${i + 1} ${set.name}`));
  });
  beside.addEventListener('change', () => store.set({ beside: Number(beside.value) }));
  store.watch(['set', 'beside'], ({ set, beside: other }) => {
    cards.forEach(({ input }, i) => {
      input.checked = i === set;
    });
    for (const option of beside.options) option.disabled = Number(option.value) === set;
    beside.value = String(other);
  });
  return element(
    'div',
    { class: 'picker' },
    element(
      'fieldset',
      { class: 'tickets' },
      element('legend', {}, 'Show set'),
      ...cards.map(({ node }) => node),
    ),
    model.sets.length > 1
      ? element('p', { class: 'beside' }, element('label', { for: 'beside' }, 'and beside it '), beside)
      : undefined,
  );
}

/** Criteria of all sets, the trade-off between two in words, and a plot to click. */
export function makeWeighing(model: ReviewModel, store: PageStore): HTMLElement {
  const words = element('p', { class: 'trade', role: 'status' });
  const table = element('div', {
    class: 'scroll',
    tabindex: 0,
    role: 'region',
    'aria-label': 'Figures of the sets',
  });
  store.watch(['set', 'beside'], ({ set, beside }) => {
    const shown = beside >= 0 ? [set, beside] : model.sets.map((_, i) => i);
    table.replaceChildren(figureTable(model, shown, set));
    const other = beside >= 0 ? beside : model.sets.findIndex((_, i) => i !== set);
    words.textContent =
      other < 0
        ? model.sets[set]!.summary
        : `${name(model, set)} against ${name(model, other)}: ${describeTradeOff(model.sets[set]!.figures, model.sets[other]!.figures)}.`;
  });
  return element('div', {}, words, table, makePlot(model, store));
}

const name = (model: ReviewModel, i: number) => `Set ${i + 1} (${model.sets[i]!.name})`;

function figureTable(model: ReviewModel, shown: readonly number[], chosen: number): HTMLElement {
  const rows = CRITERIA.map(({ name: key, label, best, show }) => {
    const values = shown.map((i) => model.sets[i]!.figures[key]);
    const target = best === 'low' ? Math.min(...values) : Math.max(...values);
    const isTie = values.every((value) => show(value) === show(values[0]!));
    return element(
      'tr',
      {},
      element('th', { scope: 'row' }, label),
      ...values.map((value) =>
        element('td', {}, value === target && !isTie ? element('b', {}, show(value), ' best') : show(value)),
      ),
    );
  });
  return element(
    'table',
    { class: 'figures' },
    element(
      'thead',
      {},
      element(
        'tr',
        {},
        element('td', {}),
        ...shown.map((i) =>
          element('th', { scope: 'col', class: i === chosen ? 'chosen' : undefined }, `set ${i + 1}`),
        ),
      ),
    ),
    element('tbody', {}, ...rows),
  );
}

const WIDTH = 300;
const HEIGHT = 190;
const MARGIN = { left: 46, right: 14, top: 12, bottom: 36 };

/** Two criteria against each other; sets that no other beats on both are joined by a line. */
function makePlot(model: ReviewModel, store: PageStore): HTMLElement {
  const across = criterionSelect('plot-across', 'exposure');
  const up = criterionSelect('plot-up', 'stretch');
  const frame = element('div', { class: 'plot' });
  const draw = () => frame.replaceChildren(drawPlot(model, store, across.value, up.value));
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
      element('label', { for: 'plot-up' }, 'Upwards '),
      up,
      element('label', { for: 'plot-across' }, ' across '),
      across,
    ),
    frame,
  );
}

function criterionSelect(id: string, chosen: FigureName): HTMLSelectElement {
  const select = element('select', { id });
  for (const { name: key, label } of CRITERIA)
    select.append(element('option', { value: key, selected: key === chosen }, label));
  return select;
}

function drawPlot(model: ReviewModel, store: PageStore, acrossName: string, upName: string): SVGElement {
  const across = CRITERIA.find((c) => c.name === acrossName)!;
  const up = CRITERIA.find((c) => c.name === upName)!;
  const values = model.sets.map(({ figures }) => [figures[across.name], figures[up.name]] as const);
  const front = findParetoFront(
    values.map(([x, y]) => [across.best === 'low' ? x : -x, up.best === 'low' ? y : -y]),
  );
  const axis = (k: 0 | 1) => {
    const list = values.map((value) => value[k]);
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
    text([12, (top + bottom) / 2], `${up.label} (${up.best} is better)`, {
      'text-anchor': 'middle',
      transform: `rotate(-90 12 ${(top + bottom) / 2})`,
    }),
    drawing('polyline', { points: sorted.map((v) => `${x(v[0])},${y(v[1])}`).join(' '), class: 'front' }),
  );
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
