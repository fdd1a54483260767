import type { ReviewModel } from '../review/review-model.js';
import { element } from './dom.js';
import type { DrawnSet } from './drawn-set.js';
import { makeAimNote, makePieceList, makeSeamList } from './list-views.js';
import { MarkBook } from './mark-book.js';
import { makeMarksView } from './marks-view.js';
import { PageMesh } from './page-mesh.js';
import { PageStore } from './page-state.js';
import { connectPointing } from './pointing.js';
import { makeSetPicker, makeWeighing } from './set-views.js';
import { measureFaceAreas, shadeFaces } from './shading.js';
import { makeShadingView } from './shading-view.js';
import { Stage } from './stage.js';

/** Builds the review in an element. Throws where the browser has no WebGL 2. */
export function startReview(root: HTMLElement, model: ReviewModel): void {
  const dark = window.matchMedia('(prefers-color-scheme: dark)');
  const mesh = new PageMesh(model);
  const store = new PageStore({
    set: 0,
    beside: -1,
    shading: 'charts',
    cloth: 0,
    hasLines: false,
    hasFarSeams: true,
    unfold: 0,
    aim: undefined,
    tool: 'look',
    isWholeLoop: false,
    brush: 0.06,
    pace: 'auto',
    isDark: dark.matches,
    marks: 0,
  });
  dark.addEventListener('change', () => store.set({ isDark: dark.matches }));
  const stage = new Stage(model, mesh, store.state);
  const book = new MarkBook(mesh, store);
  const shadingView = makeShadingView(store, stage.isDense);
  const areas = measureFaceAreas(mesh);
  const paint = (index: number, drawn: DrawnSet) => {
    const { colours, legend } = shadeFaces(store.state.shading, model, mesh, drawn.set, areas);
    drawn.surface.paint(book.tint(colours));
    if (index === store.state.set) shadingView.setLegend(legend);
  };
  const drawMarks = (only?: DrawnSet) => {
    const { lines, dots } = book.picture();
    stage.setMarks(lines, dots, only);
  };
  stage.onNewSet = (index, drawn) => {
    paint(index, drawn);
    drawMarks(drawn);
  };
  const section = (title: string, isOpen: boolean, ...content: HTMLElement[]) =>
    element('details', { class: 'note-box', open: isOpen }, element('summary', {}, title), ...content);
  root.replaceChildren(
    makeSetPicker(model, store),
    element(
      'div',
      { class: 'bench' },
      element(
        'div',
        {},
        stage.node,
        element('div', { class: 'under' }, makeUnfold(store), makeAimNote(model, store)),
      ),
      element(
        'div',
        { class: 'notes', tabindex: 0, role: 'region', 'aria-label': 'Notes and tools' },
        section('Colours', true, shadingView.node),
        section('Marks for the next proposal', true, makeMarksView(store, book)),
        section('Weighing the sets', true, makeWeighing(model, store)),
        section('Seams', true, makeSeamList(model, store)),
        section('Pieces', true, makePieceList(model, store)),
      ),
    ),
  );
  connectPointing(stage, store, book);
  store.watch(
    ['set', 'beside', 'cloth', 'hasLines', 'hasFarSeams', 'unfold', 'aim', 'isDark', 'shading', 'pace'],
    (state) => stage.show(state),
  );
  store.watch(['shading', 'marks', 'set'], () => {
    for (const [index, drawn] of stage.drawnSets) paint(index, drawn);
    stage.drawn(store.state.set);
    stage.ask();
  });
  store.watch(['marks'], () => drawMarks());
  root.dataset.ready = 'yes';
}

/** The slider that opens the surface, as a tape with its figures. */
function makeUnfold(store: PageStore): HTMLElement {
  const input = element('input', {
    type: 'range',
    id: 'unfold',
    min: 0,
    max: 100,
    step: 1,
    value: 0,
    list: 'unfold-marks',
  });
  const output = element('output', { for: 'unfold' });
  input.addEventListener('input', () => store.set({ unfold: Number(input.value) / 100 }));
  store.watch(['unfold'], ({ unfold }) => {
    input.value = String(Math.round(100 * unfold));
    const words =
      unfold === 0 ? 'as worn' : unfold < 0.55 ? 'opening' : unfold < 1 ? 'on the way to the sheet' : 'flat';
    output.textContent = words;
    input.setAttribute('aria-valuetext', `${Math.round(100 * unfold)} of 100, ${words}`);
  });
  return element(
    'div',
    { class: 'tape' },
    element('label', { for: 'unfold' }, 'Lay the figure flat'),
    input,
    output,
  );
}
