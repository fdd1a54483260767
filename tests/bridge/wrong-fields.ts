import { METHOD_SCHEMAS } from '../../src/bridge/index.js';
import type { JsonSchema } from '../../src/io/index.js';

/** A request with one bad field; `$mesh` and the like stand for names that the client fills in. */
export interface WrongField {
  readonly method: string;
  readonly params: Record<string, unknown>;
  readonly field: string;
}

const CUBE = {
  points: [0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 1, 1, 1],
  faceVertexCounts: [4, 4, 4, 4, 4, 4],
  faceVertexIndices: [0, 2, 3, 1, 4, 5, 7, 6, 0, 1, 5, 4, 2, 6, 7, 3, 0, 4, 6, 2, 1, 3, 7, 5],
};

/** A sound request of each method. */
const SOUND: Readonly<Record<string, Record<string, unknown>>> = {
  'bridge/greet': { protocol: 1, arrays: 'base64' },
  'bridge/status': {},
  'bridge/end': {},
  'mesh/open': CUBE,
  'mesh/close': { mesh: '$mesh' },
  'seams/propose': { mesh: '$mesh' },
  'seams/revise': { proposal: '$proposal' },
  'seams/route': { mesh: '$mesh', points: [0, 7] },
  'seams/carry': { to: '$mesh', proposal: '$proposal', set: 0 },
  'charts/flatten': { proposal: '$proposal', set: 0 },
  'sheet/arrange': { flat: '$flat' },
  'sheet/measure': { sheet: '$sheet' },
  'sheet/export': { sheet: '$sheet' },
};

/** What must stand beside a wrong field of an inner object. */
const SOUND_INSIDE: Readonly<Record<string, Record<string, unknown>>> = {
  document: { name: 'a' },
  locked: { charts: [0], uvs: [] },
};

/** One request for each field of each method, with each kind of value that the field does not take. */
export function wrongFields(): WrongField[] {
  const cases: WrongField[] = [];
  for (const [method, schema] of Object.entries(METHOD_SCHEMAS)) {
    const sound = SOUND[method]!;
    const add = (params: Record<string, unknown>, field: string) => cases.push({ method, params, field });
    add({ ...sound, colour: 'red' }, 'colour');
    for (const name of schema.required ?? []) {
      const { [name]: _left, ...others } = sound;
      add(others, name);
    }
    for (const [name, rule] of Object.entries(schema.properties ?? {})) {
      for (const value of wrongValues(rule, name)) add(withField(method, sound, name, value), name);
      for (const [inner, innerRule] of Object.entries(rule.properties ?? {}))
        for (const value of wrongValues(innerRule, inner))
          add({ ...sound, [name]: { ...SOUND_INSIDE[name], [inner]: value } }, `${name}.${inner}`);
    }
  }
  return cases;
}

/** Fields of the other way to say what is meant, in place of those of the sound request. */
function withField(method: string, sound: Record<string, unknown>, name: string, value: unknown) {
  if (method === 'charts/flatten' && name === 'edges') return { mesh: '$mesh', edges: value };
  if (method === 'seams/carry' && name === 'edges') return { to: '$mesh', mesh: '$mesh', edges: value };
  if (method === 'sheet/measure' && name === 'uvs') return { mesh: '$mesh', uvs: value };
  return { ...sound, [name]: value };
}

function wrongValues(rule: JsonSchema, name: string): unknown[] {
  if (rule.enum) return ['nonsense', 3, null];
  switch (rule.type) {
    case 'string':
      return [5, null, ['a'], { a: 1 }];
    case 'boolean':
      return ['yes', 1, null];
    case 'integer':
      return [1.5, 'one', -1, null];
    case 'number':
      return ['one', null, [1], true];
    case 'array':
      return [5, 'list', null, { a: 1 }];
    case 'object':
      return [5, 'object', null, [1]];
    default:
      // Lists of numbers, and viewpoints.
      return name === 'viewpoints'
        ? [5, 'the moon', null, [], [{ direction: [1, 0] }], [{ direction: [1, 0, 0], weight: 'a' }]]
        : [5, 'list', null, [0, 'x'], { type: 'float64', base64: '*' }, { type: 'int8', base64: '' }];
  }
}
