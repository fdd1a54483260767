import { parseArgs } from 'node:util';
import { InvalidOptionError } from '../errors.js';
import type { Command, OptionValues } from './command.js';

/** Splits a command's arguments into its operands and options. @throws OPTION_INVALID */
export function parseArguments(
  command: Command,
  args: readonly string[],
): { operands: readonly string[]; options: OptionValues } {
  const options = Object.fromEntries(
    Object.entries(command.options).map(([name, spec]) => [
      name,
      {
        type: spec.value ? ('string' as const) : ('boolean' as const),
        ...(spec.short && { short: spec.short }),
      },
    ]),
  );
  let parsed: ReturnType<typeof parseArgs>;
  try {
    parsed = parseArgs({
      args: joinSignedValues(command, args),
      options,
      allowPositionals: true,
      strict: true,
    });
  } catch (cause) {
    throw new InvalidOptionError('OPTION_INVALID', `${command.name}: ${reword(cause)}`, {}, { cause });
  }
  if (parsed.values.help !== true && parsed.positionals.length !== command.operands.length) {
    const got = parsed.positionals.map((p) => `'${p}'`).join(' ') || 'none';
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `${command.name}: wrong number of files, got ${got}, expected ${command.operands.join(' and ') || 'none'}`,
    );
  }
  return { operands: parsed.positionals, options: parsed.values as OptionValues };
}

/** `--front -z` reads as an option without value followed by another option; a value with a sign is joined on. */
function joinSignedValues(command: Command, args: readonly string[]): string[] {
  const joined: string[] = [];
  for (let i = 0; i < args.length; i++) {
    const arg = args[i]!;
    const next = args[i + 1];
    if (arg === '--') return [...joined, ...args.slice(i)];
    const takesValue = arg.startsWith('--') && command.options[arg.slice(2)]?.value !== undefined;
    if (takesValue && next !== undefined && /^-([xyz]$|\.?\d)/i.test(next)) {
      joined.push(`${arg}=${next}`);
      i++;
    } else joined.push(arg);
  }
  return joined;
}

/** The first sentence of Node's message, which names the option. */
function reword(cause: unknown): string {
  const message = cause instanceof Error ? cause.message : String(cause);
  const first = message.split(/\. |\n/)[0]!.replace(/\.$/, '');
  return first.charAt(0).toLowerCase() + first.slice(1);
}

/** A whole number option within a range. @throws OPTION_INVALID */
export function readInteger(
  options: OptionValues,
  name: string,
  low: number,
  high: number,
): number | undefined {
  const value = readNumber(options, name, low, high);
  if (value !== undefined && !Number.isInteger(value)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `--${name}: not a whole number, got '${options[name]}', expected ${low} to ${high}`,
      { option: name },
    );
  }
  return value;
}

/** A number option within a range. @throws OPTION_INVALID */
export function readNumber(
  options: OptionValues,
  name: string,
  low: number,
  high: number,
): number | undefined {
  const text = options[name];
  if (typeof text !== 'string') return undefined;
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (!(value >= low && value <= high)) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `--${name}: out of range, got '${text}', expected ${low} to ${high}`,
      { option: name },
    );
  }
  return value;
}

/** A text option, undefined when not given. */
export function readText(options: OptionValues, name: string): string | undefined {
  const value = options[name];
  return typeof value === 'string' ? value : undefined;
}

/** An option that takes one of a few words. @throws OPTION_INVALID */
export function readChoice<const T extends string>(
  options: OptionValues,
  name: string,
  choices: readonly T[],
): T | undefined {
  const text = readText(options, name);
  if (text === undefined || (choices as readonly string[]).includes(text)) return text as T | undefined;
  throw new InvalidOptionError(
    'OPTION_INVALID',
    `--${name}: unknown value, got '${text}', expected ${choices.join(' or ')}`,
    { option: name },
  );
}
