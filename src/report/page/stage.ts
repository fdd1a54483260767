import {
  type Color,
  type Material,
  type Mesh,
  Scene,
  type ShaderMaterial,
  type Vector3,
  WebGLRenderer,
} from 'three';
import type { ReviewModel } from '../review/review-model.js';
import type { Unfolding } from './chart-frames.js';
import { placeCorner, unfoldingAt } from './chart-frames.js';
import { element } from './dom.js';
import type { DrawnSet } from './drawn-set.js';
import { makeDrawnSet } from './drawn-set.js';
import { IdPicture } from './id-picture.js';
import type { Dot, LineGroup } from './line-object.js';
import { LineObject, makeDots } from './line-object.js';
import { Pace } from './pace.js';
import type { PageMesh } from './page-mesh.js';
import type { Aim, PageState } from './page-state.js';
import { Panel } from './panel.js';
import { PanelPicture, type Place } from './panel-picture.js';
import { SheetNames } from './sheet-names.js';
import { makeSharedAttributes } from './surface-object.js';
import { watchDrawing } from './watch-drawing.js';

const MARK_WIDTH = 6;
const FLAT: Unfolding = { open: 1, carry: 1 };

interface PanelPlace extends Place {
  readonly panel: Panel;
}

/** Draws all panels on one canvas, and finds what lies under a place of theirs. */
export class Stage {
  readonly node = element('div', { class: 'stage' });
  readonly panels: readonly Panel[] = [
    new Panel('figure', false),
    new Panel('sheet', false),
    new Panel('figure', true),
    new Panel('sheet', true),
  ];
  readonly mesh: PageMesh;
  readonly #model: ReviewModel;
  readonly #renderer: WebGLRenderer;
  readonly #sets = new Map<number, DrawnSet>();
  readonly #shared: ReturnType<typeof makeSharedAttributes>;
  readonly #scene = new Scene();
  readonly #idPictures = new Map<Panel, IdPicture>();
  readonly #pictures = new Map<Panel, PanelPicture>();
  /** What each panel shows at present; a panel that would look the same is not drawn again. */
  readonly #shown = new Map<Panel, string>();
  #places = '';
  #marksCount = 0;
  #state: PageState;
  readonly #names: SheetNames;
  readonly #pace: Pace;
  /** Called when a set is drawn for the first time, so that it is painted. */
  onNewSet: (index: number, drawn: DrawnSet) => void = () => {};

  constructor(model: ReviewModel, mesh: PageMesh, state: PageState) {
    this.#model = model;
    this.mesh = mesh;
    this.#state = state;
    this.#names = new SheetNames(mesh);
    const draw = (isCoarse: boolean) => {
      this.#draw(isCoarse);
      return watchDrawing(this.#renderer);
    };
    this.#pace = new Pace(draw, mesh.triangles.length / 3, requestAnimationFrame.bind(window));
    this.#shared = makeSharedAttributes(mesh);
    this.#renderer = new WebGLRenderer({
      antialias: false,
      alpha: true,
      preserveDrawingBuffer: true,
    });
    this.#renderer.outputColorSpace = 'srgb-linear';
    this.#renderer.setPixelRatio(Math.min(2, window.devicePixelRatio || 1));
    this.#renderer.autoClear = false;
    this.#renderer.info.autoReset = false;
    this.#scene.matrixWorldAutoUpdate = false;
    const canvas = this.#renderer.domElement;
    canvas.setAttribute('aria-hidden', 'true');
    this.node.append(canvas, ...this.panels.map((panel) => panel.node));
    new ResizeObserver(() => this.ask()).observe(this.node);
  }

  /** Takes a state and draws it soon. */
  show(state: PageState): void {
    const old = this.#state;
    this.#state = state;
    this.node.classList.toggle('has-two', state.beside >= 0);
    for (const panel of this.panels) {
      const index = this.setOf(panel);
      panel.node.hidden = index < 0;
      const words = panel.kind === 'figure' ? 'figure' : 'sheet';
      if (index >= 0) panel.caption.textContent = `${words}, set ${index + 1}`;
    }
    this.#pace.choice = state.pace;
    // Where drawing is slow, the words go ahead and the light follows when the pointer rests.
    const isAimOnly = old.aim !== state.aim && old.unfold === state.unfold;
    this.node.dataset.shown = 'not yet';
    if (isAimOnly && this.#pace.isSlow) this.#pace.rest();
    else this.#pace.ask();
  }

  /** Index of the set that a panel shows, -1 for none. */
  setOf(panel: Panel): number {
    return panel.isBeside ? this.#state.beside : this.#state.set;
  }

  /** Asks for one drawing in the next frame. */
  ask = (): void => {
    this.node.dataset.shown = 'not yet';
    this.#pace.ask();
  };

  /** Whether the surface has so many triangles that it matters how it is drawn on the move. */
  get isDense(): boolean {
    return this.#pace.isDense;
  }

  /** What is drawn of a set. */
  drawn(index: number): DrawnSet {
    const known = this.#sets.get(index);
    if (known) return known;
    const made = makeDrawnSet(this.mesh, this.#model.sets[index]!, this.#shared);
    this.#sets.set(index, made);
    this.onNewSet(index, made);
    return made;
  }

  /** All sets drawn so far. */
  get drawnSets(): ReadonlyMap<number, DrawnSet> {
    return this.#sets;
  }

  /** Replaces the marks on every set drawn so far. */
  setMarks(groups: readonly LineGroup[], dots: readonly Dot[], only?: DrawnSet): void {
    for (const drawn of only ? [only] : this.#sets.values()) {
      drawn.marks?.dispose();
      drawn.dots?.geometry.dispose();
      (drawn.dots?.material as Material | undefined)?.dispose();
      drawn.marks = groups.some((group) => group.corners.length > 0)
        ? new LineObject(this.mesh, drawn.set, groups, drawn.place, MARK_WIDTH)
        : undefined;
      drawn.dots = dots.length > 0 ? makeDots(this.mesh, drawn.set, dots, drawn.place) : undefined;
    }
    this.#marksCount++;
    this.ask();
  }

  /** What lies under a place of a panel's window, in pixels of the page; roughly while that is on the move. */
  pick(panel: Panel, x: number, y: number, isRough = false): Aim | undefined {
    const index = this.setOf(panel);
    const { width, height } = panel.window.getBoundingClientRect();
    if (index < 0 || x < 0 || y < 0 || x >= width || y >= height) return undefined;
    const drawn = this.drawn(index);
    const { surface, seams } = drawn;
    const isCoarse = isRough && this.#pace.isCoarse;
    let picture = this.#idPictures.get(panel);
    if (!picture) this.#idPictures.set(panel, (picture = new IdPicture()));
    picture.update(
      this.#renderer,
      { key: `${isCoarse}${this.#viewKey(panel, width, height)}`, width, height },
      [
        [surface.object, surface.pick],
        [seams.line, seams.pick],
      ],
      (objects) => {
        const camera = this.#prepare(panel, drawn, width, height);
        const standIn = isCoarse ? drawn.standIn() : undefined;
        surface.use(standIn);
        seams.use(standIn);
        seams.prepare(width, height, -1, '#ffffff');
        this.#render(objects, camera);
      },
    );
    const found = picture.at(x, y);
    if (!found) return undefined;
    const { face, seam } = found;
    return { set: index, seam, face, chart: face < 0 ? -1 : (drawn.set.faceCharts[face] ?? -1) };
  }

  #viewKey(panel: Panel, width: number, height: number): string {
    const unfold = panel.kind === 'sheet' ? 1 : this.#state.unfold;
    return [this.setOf(panel), width, height, unfold, panel.view].join();
  }

  /** Where a corner is in a panel's window, in pixels of the page. */
  locate(panel: Panel, corner: number): { x: number; y: number } {
    const { width, height } = panel.window.getBoundingClientRect();
    const drawn = this.drawn(this.setOf(panel));
    const camera = this.#prepare(panel, drawn, width, height);
    const at = this.placeOf(panel, corner).project(camera);
    return { x: ((at.x + 1) / 2) * width, y: ((1 - at.y) / 2) * height };
  }

  /** Where a corner is drawn, page units. */
  placeOf(panel: Panel, corner: number): Vector3 {
    const { set, frames } = this.drawn(this.setOf(panel));
    return placeCorner(this.mesh, set, frames, corner, this.#unfolding(panel));
  }

  #unfolding(panel: Panel): Unfolding {
    return panel.kind === 'sheet' ? FLAT : unfoldingAt(this.#state.unfold);
  }

  #prepare(panel: Panel, drawn: DrawnSet, width: number, height: number) {
    const unfolding = this.#unfolding(panel);
    drawn.place.uOpen.value = unfolding.open;
    drawn.place.uCarry.value = unfolding.carry;
    const { tiles, sheetSize } = drawn.frames;
    const sheet = 0.54 * sheetSize * Math.max(tiles[1], (tiles[0] * height) / width, 0.0001);
    const aspect = width / Math.max(1, height);
    const sheetRadius = aspect < 1 ? sheet * aspect : sheet;
    const size =
      panel.kind === 'sheet'
        ? sheetRadius
        : (0.86 + (Math.max(0.86, sheetRadius) - 0.86) * unfolding.carry) *
          (1 + 0.38 * unfolding.open * (1 - unfolding.carry));
    return panel.camera(aspect, size, unfolding.carry);
  }

  #render(objects: readonly { visible: boolean }[], camera: Parameters<WebGLRenderer['render']>[1]): void {
    this.#scene.children = objects as Scene['children'];
    this.#renderer.render(this.#scene, camera);
    this.#scene.children = [];
  }

  #draw(isCoarse: boolean): void {
    const box = this.node.getBoundingClientRect();
    const renderer = this.#renderer;
    if (box.width === 0) return;
    const shown = this.panels.filter((panel) => this.setOf(panel) >= 0);
    const places = shown.map((panel) => {
      const { left, bottom, width, height } = panel.window.getBoundingClientRect();
      return { panel, x: left - box.left, y: box.bottom - bottom, width, height };
    });
    const key = JSON.stringify([box.width, box.height, ...places.map(({ panel: _, ...place }) => place)]);
    renderer.setRenderTarget(null);
    renderer.setClearColor(0x000000, 0);
    if (key !== this.#places) {
      this.#places = key;
      this.#shown.clear();
      renderer.setScissorTest(false);
      renderer.setSize(box.width, box.height, false);
      renderer.clear();
    }
    for (const place of places) if (place.width >= 1 && place.height >= 1) this.#drawPanel(place, isCoarse);
    renderer.setScissorTest(false);
    this.node.dataset.shown = isCoarse ? 'coarse' : 'whole';
  }

  #drawPanel(place: PanelPlace, isCoarse: boolean): void {
    const { panel, width, height } = place;
    const drawn = this.drawn(this.setOf(panel));
    const look = this.#look(drawn, this.#viewKey(panel, width, height));
    const key = `${isCoarse ? 'coarse' : 'whole'} ${look}`;
    // What is whole already need not become coarse because another panel moves.
    const shown = this.#shown.get(panel);
    if (shown === key || shown === `whole ${look}`) return;
    this.#shown.set(panel, key);
    let picture = this.#pictures.get(panel);
    if (!picture) this.#pictures.set(panel, (picture = new PanelPicture()));
    const triangles = picture.draw(this.#renderer, place, isCoarse, (ratio) =>
      this.#paintPanel(place, drawn, isCoarse, ratio),
    );
    panel.tellDrawn(isCoarse, triangles);
  }

  #paintPanel({ panel, width, height }: PanelPlace, drawn: DrawnSet, isCoarse: boolean, ratio: number): void {
    const renderer = this.#renderer;
    const state = this.#state;
    const standIn = isCoarse ? drawn.standIn() : undefined;
    for (const object of [drawn.surface, drawn.seams, drawn.marks]) object?.use(standIn);
    const camera = this.#prepare(panel, drawn, width, height);
    const isFlat = panel.kind === 'sheet';
    if (isFlat) this.#names.show(panel, drawn.set, drawn.frames, camera);
    const { uniforms } = drawn.surface.material;
    const aim = state.aim?.set === this.setOf(panel) ? state.aim : undefined;
    const face = state.aim?.face ?? -1;
    uniforms.uRelief!.value = isFlat ? 0 : 1 - this.#unfolding(panel).carry;
    uniforms.uCloth!.value = state.cloth;
    uniforms.uLines!.value = state.hasLines && !isCoarse ? 1 : 0;
    uniforms.uLitChart!.value = aim ? aim.chart : (drawn.set.faceCharts[face] ?? -1);
    uniforms.uLitFace!.value = face;
    (uniforms.uInk!.value as Color).setStyle('#23211d', '');
    if (isFlat || this.#unfolding(panel).carry > 0.98) this.#renderPaper(drawn, camera);
    renderer.clearDepth();
    const objects: Mesh[] = [drawn.surface.object];
    drawn.seams.prepare(width, height, aim?.seam ?? -1, state.shading === 'plain' ? '#fbfaf7' : '#fffdf6');
    if (state.hasFarSeams && !isFlat && !isCoarse) objects.push(drawn.seams.far);
    if (!isCoarse) objects.push(drawn.seams.casing);
    objects.push(drawn.seams.line);
    if (drawn.marks) {
      drawn.marks.prepare(width, height, -1, '#ffffff');
      objects.push(drawn.marks.casing, drawn.marks.line);
    }
    if (drawn.dots) {
      (drawn.dots.material as ShaderMaterial).uniforms.uPixels!.value = ratio;
      objects.push(drawn.dots as unknown as Mesh);
    }
    this.#render(objects, camera);
  }

  /** Tells one picture of a panel from another. */
  #look({ surface }: DrawnSet, view: string): string {
    const { shading, cloth, hasLines, hasFarSeams, isDark, aim } = this.#state;
    const look = [shading, cloth, hasLines, hasFarSeams, isDark];
    return JSON.stringify([view, look, surface.paintCount, this.#marksCount, aim]);
  }

  #renderPaper(drawn: DrawnSet, camera: Parameters<WebGLRenderer['render']>[1]): void {
    drawn.paperMaterial.color.setStyle(this.#state.isDark ? '#cfcabf' : '#ffffff', '');
    this.#renderer.render(drawn.paper, camera);
  }
}
