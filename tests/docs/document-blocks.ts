import { readdirSync, readFileSync } from 'node:fs';
import * as files from 'node:fs/promises';
import { join, resolve } from 'node:path';
import * as fastCheck from 'fast-check';
import ts from 'typescript';
import { expect } from 'vitest';
import * as bridge from '../../src/bridge/index.js';
import * as graphology from '../../src/graphology/index.js';
import * as seamwright from '../../src/index.js';
import * as io from '../../src/io/index.js';
import * as ioNode from '../../src/io/node/index.js';
import * as learning from '../../src/learning/index.js';
import * as report from '../../src/report/index.js';
import * as revising from '../../src/revising/index.js';
import * as testing from '../../src/testing/index.js';

const ROOT = resolve(import.meta.dirname, '../..');

export const readDocument = (path: string): string => readFileSync(join(ROOT, path), 'utf8');

/** Every document that people read, but for what is made from the code. */
export const DOCUMENTS: readonly string[] = [
  'README.md',
  'DEVELOPERS.md',
  ...readdirSync(join(ROOT, 'docs')).map((name) => `docs/${name}`),
].filter((path) => path.endsWith('.md'));

/** Documents whose commands and scripts follow one another in one folder. */
export const GUIDES: readonly string[] = [
  'README.md',
  'docs/from-mesh-to-sheet.md',
  'docs/hints.md',
  'docs/house-style.md',
  'docs/farm.md',
  'docs/testing.md',
];

export interface Block {
  readonly language: string;
  readonly code: string;
}

/** Code blocks of a document, in its order. */
export const listBlocks = (text: string): Block[] =>
  [...text.matchAll(/^```(\w+)\n([\s\S]*?)^```$/gm)].map(([, language, code]) => ({
    language: language!,
    code: code!,
  }));

/** Code blocks of one language in a document. */
export const blocks = (text: string, language: string): string[] =>
  listBlocks(text)
    .filter((block) => block.language === language)
    .map(({ code }) => code);

/** What documents may import; a runner's `test` runs its function at once. */
const MODULES: Readonly<Record<string, object>> = {
  seamwright,
  'seamwright/bridge': bridge,
  'seamwright/graphology': graphology,
  'seamwright/io': io,
  'seamwright/learning': learning,
  'seamwright/revising': revising,
  'seamwright/io/node': ioNode,
  'seamwright/report': report,
  'seamwright/testing': testing,
  'fast-check': fastCheck,
  'node:fs/promises': files,
  'node:test': { test: (_name: string, run: () => unknown) => run() },
};

/** Runs a TypeScript or JavaScript block against the sources; `given` are names it may use without making them. */
export async function runBlock(code: string, given: Readonly<Record<string, unknown>> = {}): Promise<void> {
  const { outputText, diagnostics } = ts.transpileModule(code, {
    compilerOptions: { target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext },
    reportDiagnostics: true,
  });
  expect(diagnostics).toEqual([]);
  const body = outputText.replace(
    /^import (\w+|\{[^}]*\}) from '([^']+)';$/gm,
    (_line, names: string, from: string) => {
      expect(Object.keys(MODULES)).toContain(from);
      const taken = names.startsWith('{') ? names.replaceAll(' as ', ': ') : `{ default: ${names} }`;
      return `const ${taken} = modules[${JSON.stringify(from)}];`;
    },
  );
  const AsyncFunction = Object.getPrototypeOf(async () => {}).constructor as FunctionConstructor;
  await new AsyncFunction('modules', ...Object.keys(given), body)(MODULES, ...Object.values(given));
}
