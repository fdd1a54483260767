import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import ts from 'typescript';
import { expect, it } from 'vitest';
import { COMMANDS } from '../../src/cli/commands.js';
import * as seamwright from '../../src/index.js';
import * as io from '../../src/io/index.js';
import * as report from '../../src/report/index.js';
import * as testing from '../../src/testing/index.js';

const SRC = resolve(import.meta.dirname, '../../src');

/** Every frozen X_DEFAULTS that the package exports, by the name of its options. */
const DEFAULTS = new Map(
  [seamwright, io, report, testing]
    .flatMap((part) => Object.entries(part))
    .filter(([name]) => name.endsWith('_DEFAULTS'))
    .map(([name, value]) => [
      name.replace('_DEFAULTS', '').replaceAll('_', '').toLowerCase(),
      value as unknown as Readonly<Record<string, unknown>>,
    ]),
);

interface OptionText {
  readonly owner: string;
  readonly name: string;
  readonly comment: string;
}

/** Every optional member of the interfaces of files that have options or hints, with its comment. */
const MEMBERS = readdirSync(SRC, { recursive: true, encoding: 'utf8' })
  .filter((path) => path.endsWith('.ts') && !path.endsWith('.d.ts'))
  .flatMap((path): OptionText[] => {
    const text = readFileSync(join(SRC, path), 'utf8');
    if (!/interface \w*(Options|Hints)\b/.test(text)) return [];
    const found: OptionText[] = [];
    ts.forEachChild(ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true), (node) => {
      if (!ts.isInterfaceDeclaration(node)) return;
      for (const member of node.members) {
        if (!ts.isPropertySignature(member) || !member.questionToken) continue;
        const ranges = ts.getLeadingCommentRanges(text, member.getFullStart()) ?? [];
        const comment = ranges.map(({ pos, end }) => text.slice(pos, end)).join(' ');
        found.push({ owner: node.name.text, name: member.name.getText(), comment });
      }
    });
    return found;
  });

/** Those of interfaces named so. */
const listOptions = (ending = 'Options') => MEMBERS.filter(({ owner }) => owner.endsWith(ending));

/** The value that a comment's @defaultValue states, when it states one literally. */
function statedDefault(comment: string): unknown {
  const text = /@defaultValue\s+([^*@]+)/.exec(comment)?.[1]?.trim();
  if (text === undefined) return undefined;
  const literal = /^('[^']*'|\[[^\]]*\]|-?[\d.]+(?:e[+-]?\d+)?(?![\w.%])|true\b|false\b)/.exec(text)?.[1];
  return literal === undefined ? undefined : JSON.parse(literal.replaceAll("'", '"'));
}

it('states the defaults that the code has', () => {
  let compared = 0;
  const wrong: string[] = [];
  for (const { owner, name, comment } of listOptions()) {
    const defaults = DEFAULTS.get(owner.replace('Options', '').toLowerCase());
    const stated = statedDefault(comment);
    if (stated === undefined || defaults?.[name] === undefined) continue;
    compared++;
    if (JSON.stringify(stated) !== JSON.stringify(defaults[name]))
      wrong.push(`${owner}.${name}: says ${JSON.stringify(stated)}, is ${JSON.stringify(defaults[name])}`);
  }
  expect(wrong).toEqual([]);
  expect(compared).toBeGreaterThan(25);
});

it('states a default wherever the code has one', () => {
  const options = listOptions();
  const silent: string[] = [];
  for (const [owner, defaults] of DEFAULTS)
    for (const name of Object.keys(defaults)) {
      const own = options.filter(
        (option) => option.owner.replace('Options', '').toLowerCase() === owner && option.name === name,
      );
      if (own.length > 0 && !own.some(({ comment }) => /@defaultValue\s+\S/.test(comment)))
        silent.push(`${owner}.${name}`);
    }
  expect(silent).toEqual([]);
});

it('documents every hint once in the guide, and in the schema of the file', () => {
  const guide = readFileSync(join(SRC, '../docs/hints.md'), 'utf8');
  const listed = [...guide.matchAll(/^\| (`.*?) \|/gm)].flatMap(([, cell]) =>
    [...cell!.matchAll(/`(\w+)`/g)].map(([, name]) => name!),
  );
  const schema = JSON.parse(readFileSync(join(SRC, 'cli/hints.schema.json'), 'utf8')) as {
    properties: Record<string, unknown>;
  };
  const inFile = Object.keys(schema.properties).filter((name) => !/^(version|\$schema)$/.test(name));
  expect([...listed].sort()).toEqual([...inFile].sort());
  const inCode = listOptions('Hints').map(({ name }) => name);
  expect(inCode.filter((name) => !inFile.includes(name) && !guide.includes(`\`${name}\``))).toEqual([]);
  expect(inFile.filter((name) => !inCode.includes(name))).toEqual([]);
});

it('documents every option of the library', () => {
  const bare = listOptions().filter(({ comment }) => !/\w{2}/.test(comment));
  expect(bare.map(({ owner, name }) => `${owner}.${name}`)).toEqual([]);
});

it('states the defaults of the library in the help of propose', () => {
  const { options } = COMMANDS.find(({ name }) => name === 'propose')!;
  const { sets, stretchLimit, viewpoints, symmetry } = seamwright.PROPOSE_DEFAULTS;
  const { resolution, rotation } = seamwright.LAYOUT_DEFAULTS;
  for (const [name, value] of Object.entries({
    sets,
    'stretch-limit': stretchLimit,
    viewpoints,
    symmetry,
    resolution,
    rotation,
  }))
    expect([name, options[name]!.help]).toEqual([name, expect.stringContaining(`Default: ${value}.`)]);
});
