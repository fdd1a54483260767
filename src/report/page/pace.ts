/** Surfaces of fewer triangles are always drawn whole. */
const MANY_TRIANGLES = 60_000;
/** Milliseconds from asking for a frame to the next but one, some times in a row, before moving pictures get coarse. */
const LONG_WAIT = 150;
const WAITS = 2;
/** Milliseconds after the last movement until the picture is drawn whole. */
const REST = 200;

/** Calls for frames, and finds out from how long the next ones wait whether this machine draws slowly. */
export class Pace {
  readonly #draw: () => void;
  readonly #isDense: boolean;
  #isAsked = false;
  #waits = 0;
  #isMoving = false;
  #moves = 0;

  constructor(draw: () => void, triangleCount: number) {
    this.#draw = draw;
    this.#isDense = triangleCount >= MANY_TRIANGLES;
  }

  /** Whether frames of this model took long; once they did it stays so. */
  get isSlow(): boolean {
    return this.#waits >= WAITS;
  }

  /** Whether pictures are to be coarse for now: something moves, and drawing is slow. */
  get isCoarse(): boolean {
    return this.isSlow && this.#isMoving;
  }

  /** Asks for one drawing in the next frame. */
  ask(): void {
    if (this.#isAsked) return;
    this.#isAsked = true;
    const askedAt = performance.now();
    requestAnimationFrame(() => {
      this.#isAsked = false;
      this.#draw();
      this.#noteWait(askedAt);
    });
  }

  /** Asks for a drawing of something on the move; where drawing is slow it is coarse until it rests. */
  move(): void {
    this.#isMoving = true;
    this.ask();
    this.rest();
  }

  /** Asks for a whole drawing when nothing has moved for a moment, counted from when the last picture was there. */
  rest(): void {
    const move = ++this.#moves;
    afterTwoFrames(() => {
      setTimeout(() => {
        if (move !== this.#moves) return;
        this.#isMoving = false;
        this.ask();
      }, REST);
    });
  }

  /** The next frame but one waits until the picture just asked for is on the screen. */
  #noteWait(askedAt: number): void {
    if (this.isSlow || !this.#isMoving || !this.#isDense) return;
    afterTwoFrames(() => {
      this.#waits = performance.now() - askedAt > LONG_WAIT ? this.#waits + 1 : 0;
    });
  }
}

const afterTwoFrames = (act: () => void) => requestAnimationFrame(() => requestAnimationFrame(act));
