import { readFileSync } from 'node:fs';
import ts from 'typescript';

/** Members of the ErrorCode union in the source. */
export function errorCodes(): string[] {
  const codes: string[] = [];
  const text = readFileSync(new URL('../../src/errors.ts', import.meta.url), 'utf8');
  ts.forEachChild(ts.createSourceFile('errors.ts', text, ts.ScriptTarget.Latest, true), (node) => {
    if (!ts.isTypeAliasDeclaration(node) || node.name.text !== 'ErrorCode') return;
    for (const member of (node.type as ts.UnionTypeNode).types)
      codes.push(((member as ts.LiteralTypeNode).literal as ts.StringLiteral).text);
  });
  return codes;
}
