import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { COMMANDS } from '../../src/cli/commands.js';
import { commandHelp, programHelp } from '../../src/cli/help.js';
import { runInProcess } from './run-in-process.js';

describe('help', () => {
  it('is documented word for word in docs/cli.md (vitest -u rewrites it)', async () => {
    const block = (text: string) => ['```text', text.trimEnd(), '```', ''];
    const document = [
      '# Command line',
      '',
      'Made from the program itself by its tests; `npm test -- -u` rewrites it.',
      '',
      ...block(programHelp(COMMANDS)),
      ...COMMANDS.flatMap((command) => [`## ${command.name}`, '', ...block(commandHelp(command))]),
    ].join('\n');
    await expect(document).toMatchFileSnapshot('../../docs/cli.md');
  });

  it.each(COMMANDS.map((command) => command.name))(
    '%s shows its help by --help, -h and help',
    async (name) => {
      const expected = { code: 0, out: commandHelp(COMMANDS.find((each) => each.name === name)!), error: '' };
      expect(await runInProcess([name, '--help'])).toEqual(expected);
      expect(await runInProcess([name, '-h'])).toEqual(expected);
      expect(await runInProcess(['help', name])).toEqual(expected);
    },
  );

  it('shows the program help and version', async () => {
    for (const args of [['--help'], ['-h'], ['help']])
      expect(await runInProcess(args)).toEqual({ code: 0, out: programHelp(COMMANDS), error: '' });
    expect(await runInProcess(['--version'])).toEqual({ code: 0, out: '1.2.3\n', error: '' });
  });

  it('says what to do when no command is given', async () => {
    const { code, out, error } = await runInProcess([]);
    expect([code, out]).toEqual([2, '']);
    expect(error).toContain('usage: seamwright COMMAND');
  });

  it('has a sentence for every option, and no option that the command does not read', () => {
    const folder = new URL('../../src/cli/', import.meta.url);
    const sources = readdirSync(folder)
      .filter((name) => name.endsWith('.ts') && !/^(commands|options)\.ts$/.test(name))
      .map((name) => readFileSync(new URL(name, folder), 'utf8'))
      .join('\n');
    for (const { name, options } of COMMANDS)
      for (const [option, { help }] of Object.entries(options)) {
        expect([name, option, help]).toEqual([name, option, expect.stringMatching(/^[A-Z0-9].{10,}\.$/s)]);
        const isRead = sources.includes(`'${option}'`) || sources.includes(`options.${option}`);
        expect([name, option, isRead]).toEqual([name, option, true]);
      }
  });

  it('keeps lines within a terminal of 100 columns', () => {
    for (const text of [programHelp(COMMANDS), ...COMMANDS.map(commandHelp)])
      for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
  });
});
