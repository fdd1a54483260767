import type { PaceChoice } from './pace.js';
import type { ShadingName } from './shading.js';

export const TOOLS = ['look', 'keep', 'avoid', 'waypoint', 'draw-in', 'push-away', 'pin', 'rub-out'] as const;
/** What a click on the model does. */
export type Tool = (typeof TOOLS)[number];

/** What the pointer or the keyboard points at. */
export interface Aim {
  readonly set: number;
  readonly seam: number;
  readonly chart: number;
  readonly face: number;
}

/** All that decides what is shown. */
export interface PageState {
  readonly set: number;
  /** Set shown beside it, -1 for none. */
  readonly beside: number;
  readonly shading: ShadingName;
  /** Bands of cloth along one side of the sheet; 0 for none. */
  readonly cloth: number;
  readonly hasLines: boolean;
  readonly hasFarSeams: boolean;
  /** 0 is the model, 1 the sheet. */
  readonly unfold: number;
  readonly aim: Aim | undefined;
  readonly tool: Tool;
  readonly isWholeLoop: boolean;
  /** Radius in page units. */
  readonly brush: number;
  readonly pace: PaceChoice;
  readonly isDark: boolean;
  /** Counts changes of the marks. */
  readonly marks: number;
}

type Listener = (state: PageState, old: PageState) => void;

/** Holds the state and tells of its changes, once for each call. */
export class PageStore {
  #state: PageState;
  readonly #listeners: Listener[] = [];

  constructor(state: PageState) {
    this.#state = state;
  }

  get state(): PageState {
    return this.#state;
  }

  set(change: Partial<PageState>): void {
    const old = this.#state;
    this.#state = { ...old, ...change };
    for (const listener of this.#listeners) listener(this.#state, old);
  }

  /** Calls the listener now and after every change of one of the named fields. */
  watch(fields: readonly (keyof PageState)[], listener: Listener): void {
    this.#listeners.push((state, old) => {
      if (fields.some((field) => state[field] !== old[field])) listener(state, old);
    });
    listener(this.#state, this.#state);
  }
}
