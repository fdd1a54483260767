import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';

/** Lowest first: a module may import only modules before it. */
const LAYERS = [
  'errors',
  'options',
  'math',
  'structures',
  'linalg',
  'mesh',
  'elements',
  'graph',
  'graphology',
  'fields',
  'flattening',
  'distortion',
  'regions',
  'seams',
  'ranking',
  'layout',
  'revising',
  'io',
  'report',
  'proposing',
  'learning',
  'bridge',
  'cli',
  'farm',
] as const;

/** Places where Node's own modules may be used. */
const NODE_ONLY = [/^io\/node\//, /^bridge\/(stdio|node)/, /^bridge\/.*transport/, /^cli\//, /^farm\//];

/** What could open a connection. The farm's queue does, by its own client, and nothing else. */
const NETWORK_MODULES = /^(node:)?(net|http|https|http2|tls|dgram|dns)(\/|$)|^(undici|ws)$/;
const NETWORK_NAMES = new Set(['fetch', 'XMLHttpRequest', 'WebSocket', 'EventSource', 'importScripts']);

const SRC = resolve(import.meta.dirname, '../src');

interface SourceImport {
  readonly specifier: string;
  readonly isTypeOnly: boolean;
}

interface SourceFacts {
  /** Path below src, with forward slashes. */
  readonly path: string;
  readonly imports: readonly SourceImport[];
  readonly problems: readonly string[];
}

const sources = readdirSync(SRC, { recursive: true, encoding: 'utf8' })
  .filter((path) => /\.(ts|tsx)$/.test(path) && !path.endsWith('.d.ts'))
  .map((path) => path.replaceAll('\\', '/'))
  .sort()
  .map((path) => readFacts(path, readFileSync(join(SRC, path), 'utf8')));

/** Parses one file: what it imports, and what it contains that no source file may. */
function readFacts(path: string, text: string): SourceFacts {
  const file = ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true);
  const imports: SourceImport[] = [];
  const problems: string[] = [];
  const report = (node: ts.Node, problem: string) =>
    problems.push(`${path}:${file.getLineAndCharacterOfPosition(node.getStart()).line + 1} ${problem}`);
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) && ts.isStringLiteral(node.moduleSpecifier))
      imports.push({
        specifier: node.moduleSpecifier.text,
        isTypeOnly: node.importClause?.phaseModifier === ts.SyntaxKind.TypeKeyword,
      });
    if (ts.isExportDeclaration(node)) {
      if (!node.exportClause || ts.isNamespaceExport(node.exportClause)) report(node, 'has an export *');
      if (node.moduleSpecifier && ts.isStringLiteral(node.moduleSpecifier))
        imports.push({ specifier: node.moduleSpecifier.text, isTypeOnly: node.isTypeOnly });
      if (
        node.exportClause &&
        ts.isNamedExports(node.exportClause) &&
        node.exportClause.elements.some((element) => element.name.text === 'default')
      )
        report(node, 'has a default export');
    }
    if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument))
      if (ts.isStringLiteral(node.argument.literal))
        imports.push({ specifier: node.argument.literal.text, isTypeOnly: true });
    if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) {
      const [argument] = node.arguments;
      if (argument && ts.isStringLiteralLike(argument))
        imports.push({ specifier: argument.text, isTypeOnly: false });
      else report(node, 'imports a name worked out at run time');
    }
    if (ts.isExportAssignment(node)) report(node, 'has a default export');
    if (
      ts.canHaveModifiers(node) &&
      ts.getModifiers(node)?.some((modifier) => modifier.kind === ts.SyntaxKind.DefaultKeyword)
    )
      report(node, 'has a default export');
    if (ts.isEnumDeclaration(node)) report(node, 'declares an enum');
    if (node.kind === ts.SyntaxKind.AnyKeyword) report(node, 'uses any');
    if (ts.isPropertyAccessExpression(node) && node.getText() === 'Math.random')
      report(node, 'uses Math.random');
    if (
      ts.isIdentifier(node) &&
      NETWORK_NAMES.has(node.text) &&
      !(ts.isPropertyAccessExpression(node.parent) && node.parent.name === node)
    )
      report(node, `uses ${node.text}, which reaches the network`);
    if (ts.isIdentifier(node) && node.text === 'console') report(node, 'uses console');
    if (ts.isIdentifier(node) && node.text === 'Date' && !ts.isPropertyAssignment(node.parent))
      report(node, 'uses Date');
    if (
      (ts.isCallExpression(node) || ts.isNewExpression(node)) &&
      ts.isIdentifier(node.expression) &&
      (node.expression.text === 'eval' || node.expression.text === 'Function')
    )
      report(node, `uses ${node.expression.text}()`);
    ts.forEachChild(node, visit);
  };
  visit(file);
  return { path, imports, problems };
}

const moduleOf = (path: string) => path.split('/')[0]!.replace(/\.tsx?$/, '');

/** Path below src of what a relative import names, or undefined for packages. */
function target(from: string, specifier: string): string | undefined {
  if (!specifier.startsWith('.')) return undefined;
  return relative(SRC, resolve(SRC, dirname(from), specifier))
    .replaceAll('\\', '/')
    .replace(/\.js$/, '.ts');
}

/** Every breach of the layer order, as one line each. */
function findBreaches(facts: readonly SourceFacts[]): string[] {
  const paths = new Set(facts.map((fact) => fact.path));
  const breaches: string[] = [];
  for (const { path, imports } of facts) {
    const from = moduleOf(path);
    for (const { specifier } of imports) {
      const to = target(path, specifier);
      if (to === undefined) {
        if (NETWORK_MODULES.test(specifier))
          breaches.push(`${path} imports ${specifier}, which reaches the network`);
        if (
          specifier.startsWith('node:') &&
          !NODE_ONLY.some((place) => place.test(path)) &&
          from !== 'testing'
        )
          breaches.push(`${path} imports ${specifier}, which browsers lack`);
        continue;
      }
      if (specifier.endsWith('.json')) {
        // Data beside the code that reads it, such as a JSON Schema.
        if (!specifier.startsWith('./') || !existsSync(join(SRC, to)))
          breaches.push(`${path} imports ${specifier}`);
        continue;
      }
      if (!specifier.endsWith('.js')) breaches.push(`${path} imports ${specifier} without its .js ending`);
      if (!paths.has(to)) breaches.push(`${path} imports ${specifier}, which does not exist`);
      const into = moduleOf(to);
      if (into === from) continue;
      if (to.includes('/') && !isModuleIndex(to))
        breaches.push(`${path} reaches past the index of ${into}: ${to}`);
      if (from === 'testing') continue;
      if (into === 'testing') {
        // The demo command needs a character to work on; it takes the marionette and nothing else.
        if (!(from === 'cli' && to === 'testing/marionette/index.ts'))
          breaches.push(`${path} imports testing`);
        continue;
      }
      if (into === 'index') {
        if (!specifier.endsWith('/index.js') || from !== 'cli')
          breaches.push(`${path} imports the package's own index`);
        continue;
      }
      const lower = LAYERS.indexOf(into as (typeof LAYERS)[number]);
      const own = LAYERS.indexOf(from as (typeof LAYERS)[number]);
      if (lower < 0) breaches.push(`${path} imports ${into}, which is no known module`);
      else if (path === 'index.ts') {
        if (into === 'cli' || into === 'bridge') breaches.push(`index.ts imports ${into}`);
      } else if (own < 0) breaches.push(`${path} lies in no known module`);
      else if (lower >= own) breaches.push(`${path} imports upwards from ${into}`);
    }
  }
  return breaches;
}

/** A module's index, or that of a part with an entry point of its own. */
const isModuleIndex = (path: string) => /^[^/]+\/(node\/|marionette\/)?index\.ts$/.test(path);

describe('source layers', () => {
  it('finds the source files', () => {
    expect(sources.length).toBeGreaterThan(20);
    expect(sources.flatMap((source) => source.imports).length).toBeGreaterThan(40);
  });

  it('imports point down only, by module index, and stay off node: where browsers run', () => {
    expect(findBreaches(sources)).toEqual([]);
  });

  it('has no default export, export *, enum, any, eval, console, network, Math.random or Date', () => {
    expect(sources.flatMap((source) => source.problems)).toEqual([]);
  });

  it('keeps files within 350 lines, comments and blank lines aside', () => {
    const isCode = (line: string) => !/^\s*(\/\/|\/?\*|$)/.test(line);
    const long = sources
      .map(({ path }) => ({
        path,
        lines: readFileSync(join(SRC, path), 'utf8').split('\n').filter(isCode).length,
      }))
      .filter(({ lines }) => lines > 350);
    expect(long).toEqual([]);
  });

  it('names files in kebab case', () => {
    expect(
      sources.filter(({ path }) => !/^[a-z0-9/-]+(\.test)?\.tsx?$/.test(path)).map(({ path }) => path),
    ).toEqual([]);
  });

  it('has no cycle between the files of a module', () => {
    const edges = new Map<string, string[]>();
    for (const { path, imports } of sources)
      edges.set(
        path,
        imports.filter((each) => !each.isTypeOnly).flatMap((each) => target(path, each.specifier) ?? []),
      );
    const state = new Map<string, 'open' | 'done'>();
    const cycles: string[] = [];
    const walk = (path: string, trail: readonly string[]) => {
      if (state.get(path) === 'done') return;
      if (state.get(path) === 'open') {
        cycles.push([...trail.slice(trail.indexOf(path)), path].join(' -> '));
        return;
      }
      state.set(path, 'open');
      for (const next of edges.get(path) ?? []) walk(next, [...trail, path]);
      state.set(path, 'done');
    };
    for (const path of edges.keys()) walk(path, []);
    expect(cycles).toEqual([]);
  });
});

describe('the check itself', () => {
  const breach = (path: string, text: string) => [
    ...findBreaches([readFacts(path, text), ...sources]),
    ...readFacts(path, text).problems,
  ];

  it.each([
    ['mesh/x.ts', "import { a } from '../seams/index.js';", 'upwards'],
    ['mesh/x.ts', "import { a } from '../math/vec3.js';", 'past the index'],
    ['mesh/x.ts', "import { a } from '../cli/index.js';", 'upwards'],
    ['seams/x.ts', "const a = await import('../cli/main.js');", 'upwards'],
    ['mesh/x.ts', "import { readFileSync } from 'node:fs';", 'browsers lack'],
    ['io/node/x.ts', "import { request } from 'node:http';", 'network'],
    ['io/x.ts', "export const a = fetch('x');", 'network'],
    ['mesh/x.ts', "export * from './mesh.js';", 'export *'],
    ['mesh/x.ts', 'export default 1;', 'default export'],
    ['mesh/x.ts', 'export default function f() {}', 'default export'],
    ['mesh/x.ts', 'export const a = Math.random();', 'Math.random'],
    ['mesh/x.ts', 'export const a = Date.now();', 'Date'],
    ['mesh/x.ts', 'console.log(1);', 'console'],
    ['mesh/x.ts', 'export const a: any = 1;', 'any'],
    ['mesh/x.ts', 'export enum A { B }', 'enum'],
    ['layout/x.ts', "import { a } from '../testing/index.js';", 'imports testing'],
  ])('notices a breach in %s: %s', (path, text, words) => {
    expect(breach(path, text).join('\n')).toContain(words);
  });
});
