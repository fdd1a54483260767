import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';

const ROOT = resolve(import.meta.dirname, '../..');
const ENTRIES = [
  'index',
  'io/index',
  'io/node/index',
  'report/index',
  'bridge/index',
  'farm/index',
  'learning/index',
  'revising/index',
  'graphology/index',
  'testing/index',
].filter((entry) => existsSync(join(ROOT, `src/${entry}.ts`)));

const nameOf = (entry: string) =>
  entry === 'index' ? 'seamwright' : `seamwright/${entry.replace(/\/index$/, '')}`;

const { options } = ts.parseJsonConfigFileContent(
  ts.readConfigFile(join(ROOT, 'tsconfig.json'), ts.sys.readFile).config,
  ts.sys,
  ROOT,
);
const program = ts.createProgram(
  ENTRIES.map((entry) => join(ROOT, `src/${entry}.ts`)),
  options,
);
const checker = program.getTypeChecker();
const printer = ts.createPrinter({ removeComments: false });

/** A declaration as a user sees it: no bodies, no private members. */
function describeSymbol(symbol: ts.Symbol): { text: string; summary: string } {
  const target = symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol;
  const summary = ts
    .displayPartsToString(target.getDocumentationComment(checker))
    .replace(/\s+/g, ' ')
    .trim();
  const lines = (target.declarations ?? []).map((node) => {
    const print = (part: ts.Node) => printer.printNode(ts.EmitHint.Unspecified, part, node.getSourceFile());
    if (ts.isInterfaceDeclaration(node) || ts.isTypeAliasDeclaration(node)) return print(node);
    const type = checker.getTypeOfSymbolAtLocation(target, node);
    const format = ts.TypeFormatFlags.NoTruncation | ts.TypeFormatFlags.WriteArrayAsGenericType;
    if (ts.isFunctionDeclaration(node)) {
      const signature = checker.getSignatureFromDeclaration(node)!;
      return `function ${target.name}${checker.signatureToString(signature, node, format)}`;
    }
    if (ts.isClassDeclaration(node)) {
      const heritage = node.heritageClauses?.map((clause) => ` ${print(clause)}`).join('') ?? '';
      const members = node.members.flatMap((member) => describeMember(member, format));
      return [`class ${target.name}${heritage} {`, ...members, '}'].join('\n');
    }
    return `const ${target.name}: ${checker.typeToString(type, node, format)}`;
  });
  return { text: lines.join('\n'), summary };
}

function describeMember(member: ts.ClassElement, format: ts.TypeFormatFlags): string[] {
  const isHidden =
    (member.name && ts.isPrivateIdentifier(member.name)) ||
    (ts.getCombinedModifierFlags(member) & (ts.ModifierFlags.Private | ts.ModifierFlags.Protected)) !== 0;
  if (isHidden) return [];
  if (ts.isConstructorDeclaration(member)) {
    const signature = checker.getSignatureFromDeclaration(member)!;
    return [`    new ${checker.signatureToString(signature, member, format)}`];
  }
  const symbol = member.name && checker.getSymbolAtLocation(member.name);
  if (!symbol) return [];
  return [
    `    ${symbol.name}: ${checker.typeToString(checker.getTypeOfSymbolAtLocation(symbol, member), member, format)}`,
  ];
}

/** Everything a subpath exports, by name. */
function describeEntry(entry: string): { document: string; bare: string[] } {
  const file = program.getSourceFile(join(ROOT, `src/${entry}.ts`))!;
  const symbols = checker.getExportsOfModule(checker.getSymbolAtLocation(file)!);
  const bare: string[] = [];
  const sections = [...symbols]
    .sort((a, b) => (a.name < b.name ? -1 : 1))
    .map((symbol) => {
      const { text, summary } = describeSymbol(symbol);
      if (summary === '' && text.startsWith('function ')) bare.push(symbol.name);
      return [`## ${symbol.name}`, '', ...(summary ? [summary, ''] : []), '```text', text, '```', ''].join(
        '\n',
      );
    });
  const document = [
    `# ${nameOf(entry)}`,
    '',
    'Everything this part of the package exports. Made from the sources by their tests; `npm test -- -u` rewrites it.',
    '',
    ...sections,
  ].join('\n');
  return { document, bare };
}

describe('the public interface', () => {
  it.each(ENTRIES)('%s is as written down in docs/api', async (entry) => {
    const { document, bare } = describeEntry(entry);
    expect(bare).toEqual([]);
    const file = nameOf(entry).replace('seamwright/', '').replaceAll('/', '-');
    await expect(document).toMatchFileSnapshot(`../../docs/api/${file}.md`);
  });
});
