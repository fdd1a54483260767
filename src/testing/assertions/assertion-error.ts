/** An error as test runners know it: they show `actual` and `expected` side by side. */
export class MeshAssertionError extends Error {
  readonly code = 'ERR_ASSERTION';
  readonly generatedMessage = false;
  readonly actual: unknown;
  readonly expected: unknown;
  readonly operator: string;

  constructor(operator: string, problem: string, actual: unknown, expected: unknown) {
    super(`${operator}: ${problem}`);
    this.name = 'AssertionError';
    this.operator = operator;
    this.actual = actual;
    this.expected = expected;
  }
}
