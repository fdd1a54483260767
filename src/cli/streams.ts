/** What a command may touch of the process, so that tests can stand in for it. */
export interface Streams {
  readonly writeOut: (text: string) => void;
  readonly writeError: (text: string) => void;
  /** Whether standard error is a terminal, and how wide it is. */
  readonly isTerminal: boolean;
  readonly columns: number;
  /** All of standard input. */
  readonly readInput: () => Promise<Uint8Array>;
  readonly signal: AbortSignal;
}
