import { readFileSync } from 'node:fs';
import ts from 'typescript';
import { expect, it } from 'vitest';
import { exitCodeOf } from '../../src/cli/exit-codes.js';

const read = (path: string) => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');

/** Members of the ErrorCode union in the source. */
function errorCodes(): string[] {
  const codes: string[] = [];
  const file = ts.createSourceFile('errors.ts', read('src/errors.ts'), ts.ScriptTarget.Latest, true);
  ts.forEachChild(file, (node) => {
    if (!ts.isTypeAliasDeclaration(node) || node.name.text !== 'ErrorCode') return;
    for (const member of (node.type as ts.UnionTypeNode).types)
      codes.push(((member as ts.LiteralTypeNode).literal as ts.StringLiteral).text);
  });
  return codes;
}

const rows = [...read('docs/errors.md').matchAll(/^\| `([A-Z_]+)` \|(.*)\|$/gm)].map(([, code, rest]) => ({
  code: code!,
  cells: rest!.split('|').map((cell) => cell.trim()),
}));

it('documents every error code once, with cause, remedy and exit code', () => {
  expect(rows.map((row) => row.code).sort()).toEqual(errorCodes().sort());
  for (const { cells } of rows) {
    expect(cells).toHaveLength(3);
    expect(cells[0]!.length).toBeGreaterThan(10);
  }
});

it('states the exit code that the command line gives', () => {
  for (const { code, cells } of rows) expect([code, Number(cells[2])]).toEqual([code, exitCodeOf({ code })]);
  expect(exitCodeOf(new Error('other'))).toBe(1);
  expect(exitCodeOf({ code: 'toString' })).toBe(1);
});
