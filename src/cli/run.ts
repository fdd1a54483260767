import { InvalidOptionError } from '../errors.js';
import type { Command } from './command.js';
import { COMMANDS } from './commands.js';
import { EXIT, exitCodeOf } from './exit-codes.js';
import { commandHelp, programHelp } from './help.js';
import { parseArguments } from './parse-arguments.js';
import type { Streams } from './streams.js';

/**
 * Runs one command line and returns its exit code. Never throws.
 *
 * @param args - what follows the program's name
 * @param readVersion - called for `--version` only
 */
export async function runCommandLine(
  args: readonly string[],
  streams: Streams,
  readVersion: () => string,
): Promise<number> {
  try {
    return await dispatch(args, streams, readVersion);
  } catch (error) {
    const code = streams.signal.aborted ? EXIT.interrupted : exitCodeOf(error);
    if (code === EXIT.interrupted) streams.writeError('seamwright: interrupted\n');
    else streams.writeError(describe(error, code));
    if (code === EXIT.usage) streams.writeError(helpFor(error));
    return code;
  }
}

async function dispatch(
  args: readonly string[],
  streams: Streams,
  readVersion: () => string,
): Promise<number> {
  const [first, ...rest] = args;
  if (first === undefined) {
    streams.writeError(programHelp(COMMANDS));
    return EXIT.usage;
  }
  if (first === '--help' || first === '-h' || (first === 'help' && rest.length === 0)) {
    streams.writeOut(programHelp(COMMANDS));
    return EXIT.done;
  }
  if (first === '--version') {
    streams.writeOut(`${readVersion()}\n`);
    return EXIT.done;
  }
  const command = findCommand(first === 'help' ? rest[0]! : first);
  if (first === 'help') {
    streams.writeOut(commandHelp(command));
    return EXIT.done;
  }
  const { operands, options } = parseArguments(command, rest);
  if (options.help === true) {
    streams.writeOut(commandHelp(command));
    return EXIT.done;
  }
  return command.run({ operands, options, streams, readVersion });
}

function findCommand(name: string): Command {
  const command = COMMANDS.find((each) => each.name === name);
  if (command) return command;
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `unknown command, got '${name}', expected one of ${COMMANDS.map((each) => each.name).join(', ')}`,
  );
}

/** Where to read on: what a hint may say is too much for a help text. */
const helpFor = (error: unknown): string =>
  HINT_CODES.has((error as { code?: string }).code ?? '')
    ? "See hints.md in the package's docs.\n"
    : "See 'seamwright --help', or --help after a command.\n";

const HINT_CODES: ReadonlySet<string> = new Set(['HINT_INVALID', 'PIN_CONFLICT']);

/** What a person is told of an error; only a fault of our own comes with its stack. */
function describe(error: unknown, code: number): string {
  if (!(error instanceof Error)) return `seamwright: ${String(error)}\n`;
  if (code !== EXIT.internal) {
    return `seamwright: ${error.message} [${(error as { code?: string }).code}]\n`;
  }
  return `seamwright: this is a fault of the program itself; please report it with the lines below\n${error.stack ?? error.message}\n`;
}
