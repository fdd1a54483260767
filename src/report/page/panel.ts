import { OrthographicCamera, PerspectiveCamera, Vector3 } from 'three';
import { element } from './dom.js';

export type PanelKind = 'figure' | 'sheet';

const FIELD_OF_VIEW = 26;
const NEAREST = 0.12;
const FARTHEST = 4;

/** One picture on the stage with its own view; knows nothing of what is drawn. */
export class Panel {
  readonly node: HTMLElement;
  readonly caption = element('figcaption');
  readonly kind: PanelKind;
  /** Set that the panel shows: the chosen one, or the one beside it. */
  readonly isBeside: boolean;
  /** Radians round the figure and above it. */
  turn = 0.45;
  rise = 0.12;
  /** 1 shows everything; less is nearer. */
  reach = 1;
  /** What is in the middle, in page units. */
  readonly centre = new Vector3();
  readonly #perspective = new PerspectiveCamera(FIELD_OF_VIEW);
  readonly #flat = new OrthographicCamera();
  /** Page units from the lower edge of the window to the upper one, where all is shown. */
  #span = 2;

  constructor(kind: PanelKind, isBeside: boolean) {
    this.kind = kind;
    this.isBeside = isBeside;
    const name = kind === 'figure' ? 'The figure' : 'The sheet';
    const keys =
      kind === 'figure'
        ? 'Arrow keys turn it, plus and minus come nearer and go back, Home sets it straight, Enter acts on what is under the cross.'
        : 'Arrow keys move it, plus and minus come nearer and go back, Home shows it all, Enter acts on what is under the cross.';
    this.node = element(
      'figure',
      { class: `panel ${kind}` },
      this.caption,
      element('div', {
        class: 'window',
        tabindex: 0,
        role: 'application',
        'aria-label': `${name}${isBeside ? ', set beside' : ''}. ${keys}`,
      }),
    );
  }

  get window(): HTMLElement {
    return this.node.lastElementChild as HTMLElement;
  }

  /** Tells, for whoever looks into the page, how its picture was drawn, and the how manieth it is. */
  tellDrawn(isCoarse: boolean, triangles: number): void {
    const pictures = String(Number(this.node.dataset.pictures ?? 0) + 1);
    Object.assign(this.node.dataset, { drawn: isCoarse ? 'coarse' : 'whole', triangles, pictures });
  }

  /** Tells one view of the panel from another. */
  get view(): string {
    return [this.turn, this.rise, this.reach, ...this.centre].join();
  }

  home(): void {
    this.turn = 0.45;
    this.rise = 0.12;
    this.reach = 1;
    this.centre.set(0, 0, 0);
  }

  /** Nearer by a factor below 1; what is at a place of the window stays there. */
  zoom(factor: number, at?: { readonly x: number; readonly y: number }): void {
    const { width, height } = this.window.getBoundingClientRect();
    const before = this.reach;
    this.reach = Math.min(FARTHEST, Math.max(NEAREST, before * factor));
    if (at)
      this.#slide(
        (at.x - width / 2) * (1 - before / this.reach),
        (at.y - height / 2) * (1 - before / this.reach),
      );
  }

  /** Moves by so many pixels of the page: round the figure, along the sheet. */
  drag(x: number, y: number, isSliding: boolean): void {
    const { height } = this.window.getBoundingClientRect();
    if (this.kind === 'figure' && !isSliding) {
      this.turn -= (x / height) * 3.5;
      this.rise = Math.min(1.5, Math.max(-1.5, this.rise + (y / height) * 2.5));
      return;
    }
    this.#slide(x, y);
  }

  /** Moves the picture by so many pixels of the page, exactly so in the plane through its middle. */
  #slide(x: number, y: number): void {
    const { quaternion } = this.kind === 'sheet' ? this.#flat : this.#perspective;
    const right = new Vector3(1, 0, 0).applyQuaternion(quaternion);
    const up = new Vector3(0, 1, 0).applyQuaternion(quaternion);
    const units = (this.#span * this.reach) / this.window.getBoundingClientRect().height;
    this.centre.addScaledVector(right, -x * units).addScaledVector(up, y * units);
  }

  /**
   * The camera for a window of a width and height.
   *
   * @param size - radius of what is to be seen, page units
   * @param carry - how far the surface has gone to the sheet: the figure's camera comes round to its front
   */
  camera(aspect: number, size: number, carry: number): PerspectiveCamera | OrthographicCamera {
    this.#span = 2 * size * Math.max(1, 1 / aspect);
    if (this.kind === 'sheet') {
      const half = (this.#span / 2) * this.reach;
      Object.assign(this.#flat, { left: -half * aspect, right: half * aspect, top: half, bottom: -half });
      this.#flat.near = 0.1;
      this.#flat.far = 20;
      this.#flat.position.copy(this.centre).setZ(this.centre.z + 10);
      this.#flat.quaternion.identity();
      this.#flat.updateProjectionMatrix();
      this.#flat.updateMatrixWorld();
      return this.#flat;
    }
    const camera = this.#perspective;
    const turn = wrap(this.turn) * (1 - carry);
    const rise = this.rise * (1 - carry);
    const half = Math.tan((FIELD_OF_VIEW * Math.PI) / 360);
    const distance = ((this.#span / 2) * this.reach) / half;
    camera.position
      .set(Math.sin(turn) * Math.cos(rise), Math.sin(rise), Math.cos(turn) * Math.cos(rise))
      .multiplyScalar(distance)
      .add(this.centre);
    camera.aspect = aspect;
    camera.near = Math.max(0.02, distance - 2.5);
    camera.far = distance + 3;
    camera.lookAt(this.centre);
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
    return camera;
  }
}

/** An angle between -π and π. */
const wrap = (angle: number) => angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
