import { describeTradeOff } from '../../ranking/index.js';
import type { ReviewModel } from '../review/review-model.js';
import { CRITERIA } from './criteria.js';
import { element, keepTogether } from './dom.js';
import type { PageStore } from './page-state.js';
import { makePlot } from './weighing-plot.js';

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
        : `${name(model, set)} against ${name(model, other)}: ${keepTogether(describeTradeOff(model.sets[set]!.figures, model.sets[other]!.figures))}.`;
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
      ...values.map((value) => {
        const words = keepTogether(show(value));
        return element('td', {}, value === target && !isTie ? element('b', {}, words, ' best') : words);
      }),
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
