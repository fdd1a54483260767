import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatAxis, parseAxis } from '../../src/cli/axis.js';
import { COMMANDS } from '../../src/cli/commands.js';
import { parseArguments, readInteger, readNumber } from '../../src/cli/parse-arguments.js';
import { runInProcess } from './run-in-process.js';

const propose = COMMANDS.find((command) => command.name === 'propose')!;

describe('arguments', () => {
  it.each([
    [['m.obj', '--up=+y'], '+y'],
    [['m.obj', '--up', '+y'], '+y'],
    [['m.obj', '--up', '-z'], '-z'],
    [['--up', '-z', 'm.obj'], '-z'],
    [['m.obj', '--up=-z'], '-z'],
    [['--up', 'x', 'm.obj'], 'x'],
  ])('reads %j', (args, up) => {
    const { operands, options } = parseArguments(propose, args);
    expect(operands).toEqual(['m.obj']);
    expect(options.up).toBe(up);
  });

  it('takes a file called like an option after --', () => {
    expect(parseArguments(propose, ['--json', '--', '--up']).operands).toEqual(['--up']);
  });

  it('reads - as standard input', () => {
    expect(parseArguments(propose, ['-', '--json']).operands).toEqual(['-']);
  });

  it.each([
    [['propose'], 'wrong number of files, got none'],
    [['propose', 'a.obj', 'b.obj', '--out', 'x'], 'wrong number of files'],
    [['propose', 'a.obj'], '--out'],
    [['propose', 'a.obj', '--out', 'x', '--up', 'w'], '--up: not an axis'],
    [['propose', 'a.obj', '--out', 'x', '--up', '+y', '--front', '-y'], 'front'],
    [['propose', 'a.obj', '--out', 'x', '--sets', '0'], '--sets'],
    [['propose', 'a.obj', '--out', 'x', '--sets', '2.5'], '--sets'],
    [['propose', 'a.obj', '--out', 'x', '--sets', 'many'], '--sets'],
    [['propose', 'a.obj', '--out', 'x', '--stretch-limit', '-1'], '--stretch-limit'],
    [['propose', 'a.obj', '--out', 'x', '--resolution', '3'], '--resolution'],
    [['propose', 'a.obj', '--out', 'x', '--padding', '-2'], '--padding'],
    [['propose', 'a.obj', '--out', 'x', '--viewpoints', 'moon'], '--viewpoints'],
    [['propose', 'a.obj', '--out', 'x', '--symmetry', 'maybe'], '--symmetry'],
    [['propose', 'a.obj', '--out'], '--out'],
    [['propose', 'a.obj', '--colour', 'red'], '--colour'],
    [['measure'], 'wrong number of files'],
    [['demo', 'a.obj'], 'wrong number of files'],
    [['fly'], "unknown command, got 'fly'"],
    [['help', 'fly'], "unknown command, got 'fly'"],
  ])('refuses %j with exit code 2', async (args, words) => {
    const { code, out, error } = await runInProcess(args);
    expect(error).toContain(words);
    expect([code, out]).toEqual([2, '']);
  });

  it('never throws, whatever it is given', async () => {
    const word = fc.oneof(
      fc.string(),
      fc.constantFrom(
        'propose',
        'measure',
        'inspect',
        '--out',
        '--up',
        '-',
        '--',
        '--json',
        '-z',
        '--help',
        '=',
        '--=',
      ),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(word, { maxLength: 6 }), async (args) => {
        fc.pre(!args.includes('demo'));
        const { code } = await runInProcess(args.map((arg) => (arg === '/' || arg === '.' ? 'x' : arg)));
        expect([0, 2, 3]).toContain(code);
      }),
      { numRuns: 200 },
    );
  });
});

describe('axes', () => {
  it.each(['+x', '-x', '+y', '-y', '+z', '-z'])('reads and writes %s', (axis) => {
    expect(formatAxis(parseAxis(axis, '--up'))).toBe(axis);
  });

  it('takes the sign as plus when there is none', () => {
    expect(parseAxis('Z', '--up')).toEqual([0, 0, 1]);
  });
});

describe('numbers', () => {
  it('keeps the range', () => {
    expect(readNumber({ a: '4.25' }, 'a', 4, 5)).toBe(4.25);
    expect(readInteger({ a: '7' }, 'a', 0, 10)).toBe(7);
    expect(readNumber({}, 'a', 0, 1)).toBeUndefined();
    for (const text of ['', ' ', 'NaN', 'Infinity', '3.9', '6', '4,5', '0x'])
      expect(() => readNumber({ a: text }, 'a', 4, 5)).toThrow('--a');
  });
});
