import {
  Color,
  EdgesGeometry,
  LineBasicMaterial,
  LineSegments,
  type Material,
  Mesh,
  MeshBasicMaterial,
  PlaneGeometry,
  type Points,
  Scene,
  type ShaderMaterial,
  type Vector3,
  WebGLRenderer,
  WebGLRenderTarget,
} from 'three';
import type { ReviewModel, ReviewSet } from '../review/review-model.js';
import type { ChartFrames, Unfolding } from './chart-frames.js';
import { computeChartFrames, placeCorner, unfoldingAt } from './chart-frames.js';
import { element } from './dom.js';
import type { Dot, LineGroup } from './line-object.js';
import { LineObject, makeDots } from './line-object.js';
import type { PageMesh } from './page-mesh.js';
import type { Aim, PageState } from './page-state.js';
import { Panel } from './panel.js';
import type { PlaceUniforms } from './surface-object.js';
import { makePlaceUniforms, makeSharedAttributes, SurfaceObject } from './surface-object.js';

/** Everything drawn of one set; made when the set is first shown. */
export interface DrawnSet {
  readonly set: ReviewSet;
  readonly frames: ChartFrames;
  readonly place: PlaceUniforms;
  readonly surface: SurfaceObject;
  readonly seams: LineObject;
  readonly paper: Scene;
  readonly paperMaterial: MeshBasicMaterial;
  marks: LineObject | undefined;
  dots: Points | undefined;
}

const SEAM_WIDTH = 3.4;
const MARK_WIDTH = 6;
const FLAT: Unfolding = { open: 1, carry: 1 };

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
  readonly #target = new WebGLRenderTarget(1, 1);
  #state: PageState;
  #isAsked = false;
  /** Called when a set is drawn for the first time, so that it is painted. */
  onNewSet: (index: number, drawn: DrawnSet) => void = () => {};

  constructor(model: ReviewModel, mesh: PageMesh, state: PageState) {
    this.#model = model;
    this.mesh = mesh;
    this.#state = state;
    this.#shared = makeSharedAttributes(mesh);
    this.#renderer = new WebGLRenderer({ antialias: true, alpha: true });
    this.#renderer.outputColorSpace = 'srgb-linear';
    this.#renderer.setPixelRatio(Math.min(2, window.devicePixelRatio || 1));
    this.#renderer.autoClear = false;
    this.#scene.matrixWorldAutoUpdate = false;
    const canvas = this.#renderer.domElement;
    canvas.setAttribute('aria-hidden', 'true');
    this.node.append(canvas, ...this.panels.map((panel) => panel.node));
    new ResizeObserver(() => this.ask()).observe(this.node);
  }

  /** Takes a state and draws it soon. */
  show(state: PageState): void {
    this.#state = state;
    this.node.classList.toggle('has-two', state.beside >= 0);
    for (const panel of this.panels) {
      const index = this.setOf(panel);
      panel.node.hidden = index < 0;
      const words = panel.kind === 'figure' ? 'figure' : 'sheet';
      if (index >= 0) panel.caption.textContent = `${words}, set ${index + 1}`;
    }
    this.ask();
  }

  /** Index of the set that a panel shows, -1 for none. */
  setOf(panel: Panel): number {
    return panel.isBeside ? this.#state.beside : this.#state.set;
  }

  /** Asks for one drawing in the next frame. */
  ask(): void {
    if (this.#isAsked) return;
    this.#isAsked = true;
    requestAnimationFrame(() => {
      this.#isAsked = false;
      this.#draw();
    });
  }

  /** What is drawn of a set. */
  drawn(index: number): DrawnSet {
    const known = this.#sets.get(index);
    if (known) return known;
    const set = this.#model.sets[index]!;
    const frames = computeChartFrames(this.mesh, set);
    const place = makePlaceUniforms(frames);
    const [paper, paperMaterial] = makePaper(frames);
    const made: DrawnSet = {
      set,
      frames,
      place,
      surface: new SurfaceObject(this.mesh, set, this.#shared, place),
      seams: new LineObject(this.mesh, set, set.seams, place, SEAM_WIDTH),
      paper,
      paperMaterial,
      marks: undefined,
      dots: undefined,
    };
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
    this.ask();
  }

  /** What lies under a place of a panel's window, in pixels of the page. */
  pick(panel: Panel, x: number, y: number): Aim | undefined {
    const index = this.setOf(panel);
    const { width, height } = panel.window.getBoundingClientRect();
    if (index < 0 || x < 0 || y < 0 || x >= width || y >= height) return undefined;
    const drawn = this.drawn(index);
    const camera = this.#prepare(panel, drawn, width, height);
    camera.setViewOffset(width, height, x - 0.5, y - 0.5, 1, 1);
    camera.updateProjectionMatrix();
    drawn.seams.prepare(1, 1, -1, '#ffffff');
    const { surface, seams } = drawn;
    const meshes: [Mesh, ShaderMaterial][] = [
      [surface.object, surface.pick],
      [seams.line, seams.pick],
    ];
    const kept = meshes.map(([mesh]) => mesh.material);
    for (const [mesh, material] of meshes) mesh.material = material;
    this.#renderer.setRenderTarget(this.#target);
    this.#renderer.setClearColor(0x000000, 0);
    this.#renderer.clear();
    this.#render(
      meshes.map(([mesh]) => mesh),
      camera,
    );
    const bytes = new Uint8Array(4);
    this.#renderer.readRenderTargetPixels(this.#target, 0, 0, 1, 1, bytes);
    this.#renderer.setRenderTarget(null);
    meshes.forEach(([mesh], i) => {
      mesh.material = kept[i]!;
    });
    camera.clearViewOffset();
    const [r, g, b] = bytes as unknown as [number, number, number];
    if (r === 0 && g === 0 && b === 0) return undefined;
    if (b >= 128) return { set: index, seam: r + 256 * g - 1, chart: -1, face: -1 };
    const face = r + 256 * g + 65536 * b - 1;
    return { set: index, seam: -1, chart: drawn.set.faceCharts[face] ?? -1, face };
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

  #draw(): void {
    const box = this.node.getBoundingClientRect();
    if (box.width === 0) return;
    const renderer = this.#renderer;
    renderer.setSize(box.width, box.height, false);
    renderer.setRenderTarget(null);
    renderer.setScissorTest(false);
    renderer.setClearColor(0x000000, 0);
    renderer.clear();
    renderer.setScissorTest(true);
    for (const panel of this.panels) if (this.setOf(panel) >= 0) this.#drawPanel(panel, box);
    renderer.setScissorTest(false);
  }

  #drawPanel(panel: Panel, box: DOMRect): void {
    const renderer = this.#renderer;
    const { left, bottom, width, height } = panel.window.getBoundingClientRect();
    if (width < 1 || height < 1) return;
    const drawn = this.drawn(this.setOf(panel));
    const state = this.#state;
    const x = left - box.left;
    const y = box.bottom - bottom;
    renderer.setViewport(x, y, width, height);
    renderer.setScissor(x, y, width, height);
    const camera = this.#prepare(panel, drawn, width, height);
    const isFlat = panel.kind === 'sheet';
    const { uniforms } = drawn.surface.material;
    const aim = state.aim?.set === this.setOf(panel) ? state.aim : undefined;
    const face = state.aim?.face ?? -1;
    uniforms.uRelief!.value = isFlat ? 0 : 1 - this.#unfolding(panel).carry;
    uniforms.uCloth!.value = state.cloth;
    uniforms.uLines!.value = state.hasLines ? 1 : 0;
    uniforms.uLitChart!.value = aim ? aim.chart : (drawn.set.faceCharts[face] ?? -1);
    uniforms.uLitFace!.value = face;
    (uniforms.uInk!.value as Color).setStyle('#23211d', '');
    if (isFlat || this.#unfolding(panel).carry > 0.98) this.#renderPaper(drawn, camera);
    renderer.clearDepth();
    const objects: Mesh[] = [drawn.surface.object];
    drawn.seams.prepare(width, height, aim?.seam ?? -1, state.shading === 'plain' ? '#fbfaf7' : '#fffdf6');
    if (state.hasFarSeams && !isFlat) objects.push(drawn.seams.far);
    objects.push(drawn.seams.casing, drawn.seams.line);
    if (drawn.marks) {
      drawn.marks.prepare(width, height, -1, '#ffffff');
      objects.push(drawn.marks.casing, drawn.marks.line);
    }
    if (drawn.dots) {
      (drawn.dots.material as ShaderMaterial).uniforms.uPixels!.value = renderer.getPixelRatio();
      objects.push(drawn.dots as unknown as Mesh);
    }
    this.#render(objects, camera);
  }

  #renderPaper(drawn: DrawnSet, camera: Parameters<WebGLRenderer['render']>[1]): void {
    drawn.paperMaterial.color.setStyle(this.#state.isDark ? '#cfcabf' : '#ffffff', '');
    this.#renderer.render(drawn.paper, camera);
  }
}

/** The squares of the sheet, a little behind what lies on them. */
function makePaper({ tiles, sheetSize }: ChartFrames): [Scene, MeshBasicMaterial] {
  const scene = new Scene();
  const material = new MeshBasicMaterial({ color: 0xffffff });
  const rule = new LineBasicMaterial({ color: new Color().setStyle('#a79f8d', '') });
  for (let row = 0; row < tiles[1]; row++)
    for (let column = 0; column < tiles[0]; column++) {
      const plane = new PlaneGeometry(sheetSize, sheetSize);
      const square = new Mesh(plane, material);
      const outline = new LineSegments(new EdgesGeometry(plane), rule);
      for (const object of [square, outline]) {
        object.position.set(
          (column + 0.5 - tiles[0] / 2) * sheetSize,
          (row + 0.5 - tiles[1] / 2) * sheetSize,
          object === square ? -0.02 : -0.01,
        );
        scene.add(object);
      }
    }
  return [scene, material];
}
