import type { ReviewModel } from '../review/review-model.js';
import { drawing, element, figure, share } from './dom.js';
import type { Aim, PageStore } from './page-state.js';

/** What is under the pointer, in words. */
export function describeAim(model: ReviewModel, aim: Aim): string[] {
  const set = model.sets[aim.set]!;
  if (aim.seam >= 0) {
    const seam = set.seams[aim.seam]!;
    return [
      `${seam.role}${seam.label ? `, ${seam.label}` : ''}`,
      `length ${figure(seam.length)}, exposure ${share(seam.exposure)}`,
      seam.reason,
    ];
  }
  if (aim.chart < 0) return ['outside every piece'];
  const chart = set.charts[aim.chart]!;
  const lines = [
    `piece: ${chart.label || aim.chart + 1}`,
    `${chart.faceCount} faces; stretch predicted ${figure(chart.predicted)} (${figure(chart.predictedLow)} to ${figure(chart.predictedHigh)}), measured ${figure(chart.measured)}`,
  ];
  if (aim.face >= 0)
    lines.push(
      `face ${aim.face}: ${model.parts[model.faceParts[aim.face]!] || 'no part'}, σ1/σ2 ${set.faceRatio[aim.face]!.toFixed(2)}, area × ${(2 ** set.faceArea[aim.face]!).toFixed(2)}, exposure ${share(model.faceExposure[aim.face]!)}`,
    );
  return lines;
}

/** The words for what is pointed at; also read out. */
export function makeAimNote(model: ReviewModel, store: PageStore): HTMLElement {
  const note = element('div', {
    class: 'aim',
    role: 'status',
    'aria-live': 'polite',
    'aria-label': 'Under the pointer',
    tabindex: 0,
  });
  store.watch(['aim'], ({ aim }) => {
    const lines = aim
      ? describeAim(model, aim)
      : ['Point at a seam or a piece, on the figure or on the sheet.'];
    note.replaceChildren(...lines.map((line, i) => element(i === 0 && aim ? 'b' : 'span', {}, line)));
  });
  return note;
}

/** Seams of the set on show; pointing at one or stepping on to it lights it up everywhere. */
export function makeSeamList(model: ReviewModel, store: PageStore): HTMLElement {
  return makeList(model, store, ['set'], (index) =>
    model.sets[index]!.seams.map((seam, i) => ({
      key: `s${i}`,
      aim: { set: index, seam: i, chart: -1, face: -1 },
      swatch: seamSwatch(seam.colour, seam.dash),
      label: `${seam.role}${seam.label ? `, ${seam.label}` : ''}`,
      facts: `${figure(seam.length)} long, ${share(seam.exposure)} seen`,
      order: -seam.length,
    })),
  );
}

/** Pieces of the set on show. */
export function makePieceList(model: ReviewModel, store: PageStore): HTMLElement {
  return makeList(model, store, ['set'], (index) =>
    model.sets[index]!.charts.map((chart, i) => ({
      key: `c${i}`,
      aim: { set: index, seam: -1, chart: i, face: -1 },
      swatch: undefined,
      label: chart.label || `piece ${i + 1}`,
      facts: `stretch ${figure(chart.measured)}, predicted ${figure(chart.predicted)}`,
      order: -chart.area,
    })),
  );
}

interface Entry {
  readonly key: string;
  readonly aim: Aim;
  readonly swatch: SVGElement | undefined;
  readonly label: string;
  readonly facts: string;
  readonly order: number;
}

function makeList(
  model: ReviewModel,
  store: PageStore,
  fields: readonly ['set'],
  read: (set: number) => Entry[],
): HTMLElement {
  const list = element('ul', { class: 'list' });
  let entries: (Entry & { button: HTMLButtonElement })[] = [];
  store.watch(fields, ({ set }) => {
    if (!model.sets[set]) return;
    entries = read(set)
      .sort((a, b) => a.order - b.order)
      .map((entry) => {
        const button = element(
          'button',
          { type: 'button' },
          entry.swatch as unknown as Node | undefined,
          element('span', { class: 'name' }, entry.label),
          element('span', { class: 'facts' }, entry.facts),
        );
        const point = () => store.set({ aim: entry.aim });
        button.addEventListener('pointerenter', point);
        button.addEventListener('focus', point);
        button.addEventListener('click', point);
        button.addEventListener('pointerleave', () => {
          if (document.activeElement !== button) store.set({ aim: undefined });
        });
        button.addEventListener('blur', () => store.set({ aim: undefined }));
        return { ...entry, button };
      });
    list.replaceChildren(...entries.map(({ button }) => element('li', {}, button)));
  });
  store.watch(['aim', 'set'], ({ aim }) => {
    for (const { aim: own, button } of entries) {
      const isLit =
        aim?.set === own.set &&
        (own.seam >= 0 ? aim.seam === own.seam : aim.seam < 0 && aim.chart === own.chart);
      button.classList.toggle('lit', isLit);
    }
  });
  return list;
}

function seamSwatch(colour: string, dash: string): SVGElement {
  const pattern =
    dash === ''
      ? undefined
      : dash
          .split(' ')
          .map((part) => Number(part) * 3)
          .join(' ');
  return drawing(
    'svg',
    { class: 'swatch', viewBox: '0 0 36 12', 'aria-hidden': 'true' },
    drawing('rect', { width: 36, height: 12, rx: 2, fill: '#fbfaf7' }),
    drawing('path', { d: 'M3 6H33', stroke: colour, 'stroke-width': 3.4, 'stroke-dasharray': pattern }),
  );
}
