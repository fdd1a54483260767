import type fc from 'fast-check';
import type { Arbitrary } from 'fast-check';

/** What is used of fast-check; both `import fc from 'fast-check'` and `import * as fc from 'fast-check'` give it. */
export type FastCheck = Pick<
  typeof fc,
  'array' | 'constant' | 'integer' | 'oneof' | 'option' | 'record' | 'tuple' | 'uniqueArray'
>;
export type { Arbitrary };
