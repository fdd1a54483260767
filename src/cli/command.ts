import type { Streams } from './streams.js';

/** One option of a command. */
export interface OptionSpec {
  /** Name of the value in the help; without one the option is a switch. */
  readonly value?: string;
  /** What the option does, one sentence, with its default. */
  readonly help: string;
  readonly short?: string;
}

/** Option values after parsing: text for options with a value, true for switches. */
export type OptionValues = Readonly<Record<string, string | boolean | undefined>>;

export interface CommandRun {
  readonly operands: readonly string[];
  readonly options: OptionValues;
  readonly streams: Streams;
  readonly readVersion: () => string;
}

/** A command's description, which the parser, the help and the documentation all read. */
export interface Command {
  readonly name: string;
  /** Names of the files it takes, in order. */
  readonly operands: readonly string[];
  /** One line for the list of commands. */
  readonly summary: string;
  /** Further sentences for the command's own help. */
  readonly details: readonly string[];
  readonly options: Readonly<Record<string, OptionSpec>>;
  readonly examples: readonly string[];
  /** Loads and runs the command; what it needs is imported only then, so that help stays quick. */
  readonly run: (run: CommandRun) => Promise<number>;
}
