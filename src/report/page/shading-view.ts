import { element } from './dom.js';
import type { PaceChoice } from './pace.js';
import type { PageStore } from './page-state.js';
import type { Legend, ShadingName } from './shading.js';
import { SHADINGS } from './shading.js';
import { cssColour } from './tints.js';

const CLOTHS: readonly [number, string][] = [
  [0, 'none'],
  [24, 'wide'],
  [48, 'middle'],
  [96, 'narrow'],
];

const PACES: readonly [PaceChoice, string][] = [
  ['auto', 'what keeps up'],
  ['whole', 'every face'],
  ['coarse', 'a coarse stand-in'],
];

/** Choice of what colours the surface, with a legend that is filled when the surface is painted. */
export function makeShadingView(
  store: PageStore,
  isDense: boolean,
): {
  node: HTMLElement;
  setLegend: (legend: Legend) => void;
} {
  const shading = element('select', { id: 'shading' });
  for (const [value, label] of Object.entries(SHADINGS)) shading.append(element('option', { value }, label));
  shading.addEventListener('change', () => store.set({ shading: shading.value as ShadingName }));
  const cloth = element('select', { id: 'cloth' });
  for (const [value, label] of CLOTHS) cloth.append(element('option', { value }, label));
  cloth.addEventListener('change', () => store.set({ cloth: Number(cloth.value) }));
  const lines = tick('Mesh lines', (isOn) => store.set({ hasLines: isOn }));
  const far = tick('Seams on the far side', (isOn) => store.set({ hasFarSeams: isOn }));
  store.watch(['shading', 'cloth', 'hasLines', 'hasFarSeams'], (state) => {
    shading.value = state.shading;
    cloth.value = String(state.cloth);
    lines.input.checked = state.hasLines;
    far.input.checked = state.hasFarSeams;
  });
  const pace = element('select', { id: 'pace' });
  for (const [value, label] of PACES) pace.append(element('option', { value }, label));
  pace.addEventListener('change', () => store.set({ pace: pace.value as PaceChoice }));
  const legend = element('div', { class: 'legend' });
  return {
    node: element(
      'div',
      {},
      element('p', {}, element('label', { for: 'shading' }, 'Colour by '), shading),
      legend,
      element('p', {}, element('label', { for: 'cloth' }, 'Gingham '), cloth),
      element('p', { class: 'ticks' }, lines.node, far.node),
      isDense
        ? element('p', {}, element('label', { for: 'pace' }, 'While it moves, draw '), pace)
        : undefined,
    ),
    setLegend: (content) => legend.replaceChildren(...drawLegend(content)),
  };
}

/** A box to tick with its label. */
export function tick(
  label: string,
  change: (isOn: boolean) => void,
): { node: HTMLElement; input: HTMLInputElement } {
  const input = element('input', { type: 'checkbox' });
  input.addEventListener('change', () => change(input.checked));
  return { node: element('label', { class: 'tick' }, input, ` ${label}`), input };
}

function drawLegend(legend: Legend): HTMLElement[] {
  const note = element('p', { class: 'note' }, legend.note);
  if (legend.kind === 'words') {
    const rows = legend.entries.map(({ colour, label, value }) =>
      element(
        'li',
        {},
        element('span', { class: 'dye', style: `background:${cssColour(colour)}` }),
        element('span', { class: 'name' }, label),
        element('span', { class: 'facts' }, value),
      ),
    );
    return [note, element('ul', { class: 'dyes', tabindex: 0, 'aria-label': 'Legend' }, ...rows)];
  }
  const most = Math.max(...legend.shares, 1e-9);
  const bars = legend.shares.map((part) =>
    element('i', { style: `height:${part === 0 ? 0 : Math.max(4, (100 * part) / most)}%` }),
  );
  const stops = legend.colours.map(cssColour).join(', ');
  return [
    note,
    element('div', { class: 'bars', 'aria-hidden': 'true' }, ...bars),
    element('div', {
      class: 'ramp',
      'aria-hidden': 'true',
      style: `background:linear-gradient(to right, ${stops})`,
    }),
    element('div', { class: 'scale' }, ...legend.ticks.map((text) => element('span', {}, text))),
    element('p', { class: 'facts' }, legend.facts.join(' · ')),
  ];
}
