/** Surfaces of fewer triangles are always drawn whole. */
const MANY_TRIANGLES = 60_000;
/** Milliseconds until a whole picture is there, where drawing is slow. */
const LONG_WAIT = 60;
/** So many long waits on a quick machine tell that it is slow now; each short one makes up for a quarter of one. */
const LONG_WAITS = 2;
const MAKES_UP = 0.25;
/** Milliseconds after the last change until the picture is drawn whole. */
const REST = 200;

/** What is drawn while something moves: every face, a stand-in, or a stand-in where whole pictures take long. */
export type PaceChoice = 'auto' | 'whole' | 'coarse';

/** Asks for a picture, coarse or whole, and returns a function that tells whether it is there. */
export type Drawer = (isCoarse: boolean) => () => boolean;

/**
 * Calls for pictures, one after the other, and finds out by how long whole ones take whether this machine is slow.
 * A dense surface is taken for slow until a whole picture has told otherwise: so the first drag keeps up on every
 * machine, and the stand-in is there before it, since the page opens with it.
 */
export class Pace {
  choice: PaceChoice = 'auto';
  readonly #draw: Drawer;
  readonly #nextFrame: (act: () => void) => void;
  readonly #isDense: boolean;
  #isAsked = false;
  #wasCoarse = false;
  #isDrawn: () => boolean = () => true;
  /** Whole pictures told of so far; buffers are filled with the first, which therefore tells nothing. */
  #wholeCount = 0;
  #waits = LONG_WAITS;
  #isMoving = false;
  #quietSince = 0;
  #isWatched = false;

  /** @param nextFrame - calls back when the screen is ready for a picture */
  constructor(draw: Drawer, triangleCount: number, nextFrame: (act: () => void) => void) {
    this.#draw = draw;
    this.#nextFrame = nextFrame;
    this.#isDense = triangleCount >= MANY_TRIANGLES;
  }

  /** Whether there are so many triangles that the choice matters. */
  get isDense(): boolean {
    return this.#isDense;
  }

  /** Whether what moves is drawn coarse. */
  get isSlow(): boolean {
    if (!this.#isDense || this.choice === 'whole') return false;
    return this.choice === 'coarse' || this.#waits >= LONG_WAITS;
  }

  /** Whether the next picture is to be coarse. */
  get isCoarse(): boolean {
    return this.isSlow && this.#isMoving;
  }

  /** Asks for a picture of something new: where drawing is slow it is coarse, and whole at rest. */
  ask(): void {
    this.#isMoving = true;
    this.#request();
    this.rest();
  }

  /** Asks for a whole picture when nothing has changed for a moment, counted from when the last one was there. */
  rest(): void {
    this.#quietSince = performance.now();
    if (this.#isWatched) return;
    this.#isWatched = true;
    const look = () => {
      const now = performance.now();
      if (this.#isAsked || !this.#isDrawn()) this.#quietSince = now;
      if (now - this.#quietSince < REST) {
        setTimeout(look, 15);
        return;
      }
      this.#isWatched = false;
      this.#isMoving = false;
      this.#request();
    };
    setTimeout(look, 15);
  }

  #request(): void {
    if (this.#isAsked) return;
    this.#isAsked = true;
    this.#nextFrame(() => this.#drawWhenFree());
  }

  /**
   * Frames go on while the graphics card still draws; whole pictures that queued up would show what is long past.
   * Coarse ones may follow one another at once, since the browser itself never lets more than two of them wait.
   */
  #drawWhenFree(): void {
    if (!(this.isCoarse && this.#wasCoarse) && !this.#isDrawn()) {
      setTimeout(() => this.#drawWhenFree(), 4);
      return;
    }
    this.#isAsked = false;
    const isCoarse = this.isCoarse;
    this.#wasCoarse = isCoarse;
    const isDrawn = this.#draw(isCoarse);
    this.#isDrawn = isCoarse ? isDrawn : this.#timed(isDrawn);
  }

  /** The same question about a whole picture; how long it took is noted as soon as the answer is yes. */
  #timed(isDrawn: () => boolean): () => boolean {
    const begun = performance.now();
    let isThere = false;
    const ask = () => {
      if (isThere || !isDrawn()) return isThere;
      isThere = true;
      const isLong = performance.now() - begun > LONG_WAIT;
      this.#wholeCount++;
      if (this.#wholeCount === 2) this.#waits = isLong ? LONG_WAITS : 0;
      else if (this.#wholeCount > 2)
        this.#waits = isLong ? Math.min(LONG_WAITS, this.#waits + 1) : Math.max(0, this.#waits - MAKES_UP);
      return true;
    };
    const look = () => {
      if (!ask()) setTimeout(look, 4);
    };
    setTimeout(look, 4);
    return ask;
  }
}
