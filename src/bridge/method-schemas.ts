import type { JsonSchema } from '../io/index.js';

/** Version of the protocol; a client asks for it in `bridge/greet`. */
export const PROTOCOL_VERSION = 1;

/** A flat list of numbers; `readNumbers` checks it, as it may be Base64 too. */
const numbers: JsonSchema = {};
const text: JsonSchema = { type: 'string' };
const handle: JsonSchema = { type: 'string' };
const flag: JsonSchema = { type: 'boolean' };
const number: JsonSchema = { type: 'number' };
const count: JsonSchema = { type: 'integer', minimum: 0 };
const direction: JsonSchema = { type: 'array', items: number };
const lists: JsonSchema = { type: 'array', items: { type: 'array', items: count } };

const object = (properties: Record<string, JsonSchema>, ...required: string[]): JsonSchema => ({
  type: 'object',
  properties,
  required,
  additionalProperties: false,
});

const weights = (...names: string[]): JsonSchema =>
  object(Object.fromEntries(names.map((name) => [name, { type: 'number', minimum: 0 }])));

const HINTS = object({
  keep: numbers,
  avoid: numbers,
  avoidFaces: numbers,
  coveredFaces: numbers,
  faceGroups: lists,
  settled: object({ faces: numbers, edges: numbers }, 'faces', 'edges'),
  paint: numbers,
  waypoints: lists,
  pins: lists,
  existingUvs: numbers,
  hardEdgeAngle: number,
});

const PROPOSE: Record<string, JsonSchema> = {
  up: direction,
  front: direction,
  // A name or a list; the library checks which.
  viewpoints: {},
  symmetry: { enum: ['auto', 'off'] },
  sets: { type: 'integer', minimum: 1 },
  stretchLimit: number,
  chartLimit: number,
  hints: HINTS,
  profile: weights('length', 'exposure', 'frontExposure', 'concavity'),
  criteria: weights('stretch', 'exposure', 'pieces', 'symmetry', 'fill'),
};

export type MethodName =
  | 'bridge/greet'
  | 'bridge/status'
  | 'bridge/end'
  | 'mesh/open'
  | 'mesh/close'
  | 'seams/propose'
  | 'seams/revise'
  | 'seams/route'
  | 'seams/carry'
  | 'charts/flatten'
  | 'sheet/arrange'
  | 'sheet/measure'
  | 'sheet/export';

/** What each method takes. */
export const METHOD_SCHEMAS: Readonly<Record<MethodName, JsonSchema>> = Object.freeze({
  'bridge/greet': object(
    {
      protocol: { type: 'integer', minimum: 1 },
      arrays: { enum: ['base64', 'numbers'] },
      client: object({ name: text, version: text }),
    },
    'protocol',
  ),
  'bridge/status': object({}),
  'bridge/end': object({}),
  'mesh/open': object({
    name: text,
    points: numbers,
    faceVertexCounts: numbers,
    faceVertexIndices: numbers,
    uvs: numbers,
    document: object({ name: text, text, base64: text }, 'name'),
    path: text,
  }),
  'mesh/close': object({ mesh: handle }, 'mesh'),
  'seams/propose': object({ mesh: handle, ...PROPOSE }, 'mesh'),
  'seams/revise': object({ proposal: handle, ...PROPOSE }, 'proposal'),
  'seams/route': object(
    {
      mesh: handle,
      proposal: handle,
      points: numbers,
      closed: flag,
      up: direction,
      front: direction,
      avoid: numbers,
    },
    'points',
  ),
  'seams/carry': object(
    {
      to: handle,
      proposal: handle,
      set: count,
      carried: handle,
      mesh: handle,
      edges: numbers,
      sheet: handle,
      tolerance: number,
    },
    'to',
  ),
  'charts/flatten': object({
    proposal: handle,
    set: count,
    carried: handle,
    mesh: handle,
    edges: numbers,
    lines: lists,
    method: {
      enum: ['auto', 'isometric', 'boundary-first', 'lscm', 'spectral', 'angle-based', 'arap', 'barycentric'],
    },
  }),
  'sheet/arrange': object(
    {
      flat: handle,
      resolution: count,
      padding: number,
      rotation: { enum: ['free', 'quarter', 'none'] },
      effort: number,
      density: number,
      metresPerUnit: number,
      tiles: { type: 'integer', minimum: 1 },
      weights: object({
        parts: { type: 'object', additionalProperties: number },
        charts: numbers,
        faces: numbers,
      }),
      stackMirrored: flag,
      pairMirrored: flag,
      locked: object({ charts: numbers, uvs: numbers }, 'charts', 'uvs'),
      up: direction,
      front: direction,
    },
    'flat',
  ),
  'sheet/measure': object({ sheet: handle, mesh: handle, uvs: numbers, resolution: count }),
  'sheet/export': object(
    { sheet: handle, format: { enum: ['obj', 'glb', 'usda', 'json'] }, path: text },
    'sheet',
  ),
});
