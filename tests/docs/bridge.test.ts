import { expect, it } from 'vitest';
import { BRIDGE_ERRORS, toErrorAnswer } from '../../src/bridge/error-codes.js';
import { BRIDGE_LIMITS } from '../../src/bridge/limits.js';
import { METHOD_SCHEMAS } from '../../src/bridge/method-schemas.js';
import { COMMANDS } from '../../src/cli/commands.js';
import { readDocument } from './document-blocks.js';
import { errorCodes } from './error-codes.js';

const document = readDocument('docs/bridge.md');

/** The cells of the rows of a document's section whose first cell matches. */
function rows(section: string, first: RegExp): string[][] {
  const text = document.split(/^## /m).find((part) => part.startsWith(section))!;
  return [...text.matchAll(/^\| (.*) \|$/gm)]
    .map(([, line]) => line!.split(' | ').map((cell) => cell.trim()))
    .filter(([cell]) => first.test(cell!));
}

const names = (cell: string) => [...cell.matchAll(/`([^`]+)`/g)].map(([, name]) => name!);

it('states every method of the bridge once, with all that it takes', () => {
  const methods = rows('Methods', /^`\w+\/\w+`$/);
  expect(methods.map(([method]) => names(method!)[0])).toEqual(Object.keys(METHOD_SCHEMAS));
  const taken = new Map(methods.map(([method, takes]) => [names(method!)[0]!, takes!]));
  for (const [method, schema] of Object.entries(METHOD_SCHEMAS)) {
    // What is said of a revision points to the row above it.
    const text =
      method === 'seams/revise' ? taken.get(method)! + taken.get('seams/propose')! : taken.get(method)!;
    const missing = Object.keys(schema.properties as object).filter((name) => !names(text).includes(name));
    expect([method, missing]).toEqual([method, []]);
  }
});

it("states every error number once, and which of the library's codes come with it", () => {
  const numbers = rows('Errors', /^-\d+$/);
  expect(numbers.map(([number]) => Number(number)).sort()).toEqual(Object.values(BRIDGE_ERRORS).sort());
  const meanings = new Map(numbers.map(([number, meaning]) => [Number(number), meaning!]));
  for (const code of errorCodes()) {
    const { code: number } = toErrorAnswer({ code, message: '' });
    // A fault of the bridge itself is what no code of the library may come to.
    expect([code, number]).not.toEqual([code, BRIDGE_ERRORS.internal]);
    const said = names(meanings.get(number)!);
    const isSaid = said.some((name) => name === code || (name.endsWith('_') && code.startsWith(name)));
    if (!/^(FILE_|CANCELLED$)/.test(code)) expect([code, number, isSaid]).toEqual([code, number, true]);
  }
});

it('states every limit once, with the default and the option that the code has', () => {
  const limits = rows('Limits', /^`max/);
  expect(limits.map(([limit]) => names(limit!)[0]).sort()).toEqual(Object.keys(BRIDGE_LIMITS).sort());
  const { options } = COMMANDS.find(({ name }) => name === 'bridge')!;
  for (const [limit, value, option] of limits) {
    const name = names(limit!)[0] as keyof typeof BRIDGE_LIMITS;
    const stated =
      Number(/^[\d,]+/.exec(value!)![0].replaceAll(',', '')) * (/ MiB/.test(value!) ? 2 ** 20 : 1);
    expect([name, stated]).toEqual([name, BRIDGE_LIMITS[name]]);
    for (const flag of names(option ?? ''))
      expect(Object.keys(options)).toContain(flag.slice(2).split(' ')[0]);
  }
});
