/** Surfaces of fewer triangles are always drawn whole. */
const MANY_TRIANGLES = 60_000;
/** Milliseconds until a picture is drawn that was asked for, where drawing is slow. */
const LONG_WAIT = 120;
/** So many long waits tell a slow machine; each short one makes up for a quarter of one. */
const LONG_WAITS = 2;
const MAKES_UP = 0.25;
/** Milliseconds after the last movement until the picture is drawn whole. */
const REST = 200;

/** Calls for frames, and finds out from how long the next ones wait whether this machine draws slowly. */
export class Pace {
  readonly #draw: () => () => boolean;
  readonly #isDense: boolean;
  #isAsked = false;
  #isDrawn: () => boolean = () => true;
  #waits = 0;
  #isMoving = false;
  #moves = 0;

  /** @param draw - asks for the picture, and returns a function that tells whether it is there */
  constructor(draw: () => () => boolean, triangleCount: number) {
    this.#draw = draw;
    this.#isDense = triangleCount >= MANY_TRIANGLES;
  }

  /** Whether frames of this model took long; once they did it stays so. */
  get isSlow(): boolean {
    return this.#waits >= LONG_WAITS;
  }

  /** Whether pictures are to be coarse for now: something moves, and drawing is slow. */
  get isCoarse(): boolean {
    return this.isSlow && this.#isMoving;
  }

  /** Asks for one drawing in the next frame. */
  ask(): void {
    if (this.#isAsked) return;
    this.#isAsked = true;
    requestAnimationFrame(() => {
      this.#isAsked = false;
      this.#isDrawn = this.#draw();
      this.#noteWait();
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
    this.#whenDrawn(() => {
      setTimeout(() => {
        if (move !== this.#moves) return;
        this.#isMoving = false;
        this.ask();
      }, REST);
    });
  }

  #noteWait(): void {
    if (this.isSlow || !this.#isDense) return;
    const begun = performance.now();
    this.#whenDrawn(() => {
      const isLong = performance.now() - begun > LONG_WAIT;
      this.#waits = isLong ? this.#waits + 1 : Math.max(0, this.#waits - MAKES_UP);
    });
  }

  /** Frames go on while the graphics card still draws, so that their pace tells nothing; the card is asked. */
  #whenDrawn(act: () => void): void {
    const look = () => {
      if (!this.#isAsked && this.#isDrawn()) act();
      else setTimeout(look, 15);
    };
    setTimeout(look, 15);
  }
}
