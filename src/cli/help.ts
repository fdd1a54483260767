import type { Command } from './command.js';

const WIDTH = 92;

/** Breaks text into lines of at most WIDTH characters, the later ones indented. */
function wrap(text: string, indent: number): string {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && indent + line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  lines.push(line);
  return lines.join(`\n${' '.repeat(indent)}`);
}

/** Lines of a two-column list. */
function columns(rows: readonly (readonly [string, string])[]): string[] {
  const width = Math.max(...rows.map(([left]) => left.length)) + 4;
  return rows.map(([left, right]) => `  ${left.padEnd(width - 2)}${wrap(right, width)}`);
}

/** Help of one command. */
export function commandHelp(command: Command): string {
  const operands = command.operands.map((operand) => ` ${operand}`).join('');
  const rows = Object.entries(command.options).map(([name, spec]) => {
    const short = spec.short ? `-${spec.short}, ` : '';
    return [`${short}--${name}${spec.value ? ` ${spec.value}` : ''}`, spec.help] as const;
  });
  return [
    `usage: seamwright ${command.name}${operands} [options]`,
    '',
    wrap(command.summary, 0),
    ...command.details.map((detail) => wrap(detail, 0)),
    '',
    'options',
    ...columns(rows),
    '',
    'examples',
    ...command.examples.map((example) => `  ${example}`),
    '',
  ].join('\n');
}

/** Help of the whole program. */
export function programHelp(commands: readonly Command[]): string {
  return [
    'usage: seamwright COMMAND [options]',
    '',
    wrap(
      "Proposes where to cut a 3D character's surface so that it can be laid flat for texturing, says how much each proposal will stretch, flattens it and packs the sheet.",
      0,
    ),
    '',
    'commands',
    ...columns(commands.map((command) => [command.name, command.summary] as const)),
    '',
    'options',
    ...columns([
      ['-h, --help', 'Show this help; after a command, the help of that command.'],
      ['--version', 'Show the version.'],
    ]),
    '',
    'exit codes',
    ...columns([
      ['0', 'done'],
      ['1', 'a fault of the program itself'],
      ['2', 'the command was given wrongly, or its output cannot be written'],
      ['3', 'the input cannot be read or is no mesh'],
      ['4', 'no valid seam set within the limits given'],
      ['130', 'interrupted'],
    ]),
    '',
    'Results go to standard output or to the folder given with --out; progress and warnings go to',
    'standard error.',
    '',
  ].join('\n');
}
