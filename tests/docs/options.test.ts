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

/** Every optional member of an interface named XOptions, with its comment. */
function listOptions(): OptionText[] {
  const found: OptionText[] = [];
  for (const path of readdirSync(SRC, { recursive: true, encoding: 'utf8' })) {
    if (!path.endsWith('.ts') || path.endsWith('.d.ts')) continue;
    const file = ts.createSourceFile(
      path,
      readFileSync(join(SRC, path), 'utf8'),
      ts.ScriptTarget.Latest,
      true,
    );
    ts.forEachChild(file, (node) => {
      if (!ts.isInterfaceDeclaration(node) || !node.name.text.endsWith('Options')) return;
      for (const member of node.members) {
        if (!ts.isPropertySignature(member) || !member.questionToken) continue;
        const ranges = ts.getLeadingCommentRanges(file.text, member.getFullStart()) ?? [];
        const comment = ranges.map(({ pos, end }) => file.text.slice(pos, end)).join(' ');
        found.push({ owner: node.name.text, name: member.name.getText(), comment });
      }
    });
  }
  return found;
}

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
