import { element } from './dom.js';
import type { MarkBook } from './mark-book.js';
import { countMarks } from './marks.js';
import type { PageStore, Tool } from './page-state.js';
import { TOOLS } from './page-state.js';
import { tick } from './shading-view.js';

const TOOL_WORDS: Readonly<Record<Tool, readonly [label: string, help: string]>> = {
  look: ['look', 'A click does nothing.'],
  keep: ['cut here', 'Click edges that must be seams.'],
  avoid: ['spare this', 'Click edges that must stay whole.'],
  waypoint: ['lead a seam', 'Click points that a seam shall pass, in order.'],
  'draw-in': ['paint: seams here', 'Drag over faces where seams are welcome.'],
  'push-away': ['paint: none here', 'Drag over faces that seams shall keep off.'],
  pin: ['pin in a line', 'Click points that shall lie on one straight line of the sheet, the lowest first.'],
  'rub-out': ['rub out', 'Drag over marks to take them off.'],
};

/** Marks for the next proposal: what a click does, and saving them as a hints file. */
export function makeMarksView(store: PageStore, book: MarkBook): HTMLElement {
  const help = element('p', { class: 'note', id: 'tool-help' });
  const radios = TOOLS.map((tool) => {
    const input = element('input', {
      type: 'radio',
      name: 'tool',
      value: tool,
      'aria-describedby': 'tool-help',
    });
    input.addEventListener('change', () => store.set({ tool }));
    return { tool, input, node: element('label', {}, input, ` ${TOOL_WORDS[tool][0]}`) };
  });
  const loop = tick('with all that runs straight on', (isOn) => store.set({ isWholeLoop: isOn }));
  const brush = element('input', { type: 'range', id: 'brush', min: 0.01, max: 0.25, step: 0.01 });
  brush.addEventListener('input', () => store.set({ brush: Number(brush.value) }));
  const brushRow = element('p', {}, element('label', { for: 'brush' }, 'Brush '), brush);
  const button = (label: string, act: () => void) => {
    const node = element('button', { type: 'button' }, label);
    node.addEventListener('click', act);
    return node;
  };
  const endLine = button('Begin another line', () =>
    book.endChain(store.state.tool === 'pin' ? 'pins' : 'waypoints'),
  );
  const undo = button('Take back', () => book.undo());
  const clear = button('Take all off', () => book.clear());
  const save = button('Save hints', () => book.save());
  const file = element('input', { type: 'file', id: 'hints-file', accept: '.json,application/json' });
  file.addEventListener('change', async () => {
    const chosen = file.files?.[0];
    if (chosen) book.load(await chosen.text());
    file.value = '';
  });
  const count = element('p', { class: 'count', role: 'status' });
  store.watch(['tool', 'isWholeLoop', 'brush', 'marks'], ({ tool, isWholeLoop, brush: size }) => {
    for (const radio of radios) radio.input.checked = radio.tool === tool;
    help.textContent = TOOL_WORDS[tool][1];
    loop.input.checked = isWholeLoop;
    loop.node.hidden = tool !== 'keep' && tool !== 'avoid';
    brush.value = String(size);
    brushRow.hidden = !['draw-in', 'push-away', 'rub-out'].includes(tool);
    endLine.hidden = tool !== 'waypoint' && tool !== 'pin';
    count.textContent = book.problem || countMarks(book.marks);
    undo.disabled = !book.canUndo;
  });
  return element(
    'div',
    {},
    element(
      'fieldset',
      { class: 'tools' },
      element('legend', {}, 'A click means'),
      ...radios.map(({ node }) => node),
    ),
    help,
    loop.node,
    brushRow,
    count,
    element('p', { class: 'buttons' }, endLine, undo, clear, save),
    element('p', {}, element('label', { for: 'hints-file' }, 'Open hints '), file),
    element(
      'p',
      { class: 'note' },
      'Give the saved file to the next run: ',
      element('code', {}, 'seamwright propose FILE --hints hints.json'),
    ),
  );
}
