/**
 * Codes of the error answers. The negative numbers down to -32768 belong to JSON-RPC 2.0; those from -32000 to
 * -32099 are ours by its rules. -32800 is what header-framed JSON-RPC peers use for a cancelled request.
 */
export const BRIDGE_ERRORS = Object.freeze({
  /** A frame or its JSON cannot be read. */
  unreadable: -32700,
  /** Not a JSON-RPC 2.0 request. */
  notARequest: -32600,
  unknownMethod: -32601,
  /** A field is missing, unknown or of the wrong kind; `data.field` names it. */
  invalidParams: -32602,
  /** A fault of the bridge itself. */
  internal: -32603,
  /** The first request was not `bridge/greet`, or no version of the protocol is shared. */
  notGreeted: -32000,
  /** The mesh, or the file it came from, cannot be worked on; `data.code` says why. */
  invalidMesh: -32001,
  /** A mesh, proposal, flat, sheet or carried seams of that name is not held. */
  unknownHandle: -32002,
  /** A limit of the bridge: message size, meshes, corners, queue or memory; `data.limit` names it. */
  limitReached: -32003,
  /** A path lies outside the allowed folder, or none is allowed. */
  pathRefused: -32004,
  /** No result keeps the limits given, or the numbers defeat the method; `data.code` says why. */
  noResult: -32005,
  /** A file cannot be read or written. */
  fileFailed: -32006,
  cancelled: -32800,
});

export type BridgeErrorName = keyof typeof BRIDGE_ERRORS;

/** An error answer on its way to the client. */
export class BridgeError extends Error {
  readonly code: number;
  readonly data: Readonly<Record<string, unknown>> | undefined;

  constructor(name: BridgeErrorName, message: string, data?: Readonly<Record<string, unknown>>) {
    super(message);
    this.name = 'BridgeError';
    this.code = BRIDGE_ERRORS[name];
    this.data = data;
  }
}

/** The `error` member of an answer. */
export interface ErrorAnswer {
  readonly code: number;
  readonly message: string;
  readonly data?: Readonly<Record<string, unknown>> | undefined;
}

const NAMES_BY_CODE: readonly (readonly [RegExp, BridgeErrorName])[] = [
  [/^(OPTION|HINT)_INVALID$|^PIN_CONFLICT$|^UV_INVALID$/, 'invalidParams'],
  [/^MESH_|^FORMAT_/, 'invalidMesh'],
  [/^FILE_/, 'fileFailed'],
  [/^CANCELLED$/, 'cancelled'],
  [/^(NO_VALID_SET|LAYOUT_IMPOSSIBLE|CHART_NOT_DISK|CHART_TOO_CLOSED|MATRIX_.*)$/, 'noResult'],
];

/** What the client is told of any error; the library's own `code` and `details` go into `data`. */
export function toErrorAnswer(error: unknown): ErrorAnswer {
  const { code, message, data, details } = (error ?? {}) as {
    code?: unknown;
    message?: unknown;
    data?: Readonly<Record<string, unknown>>;
    details?: Readonly<Record<string, unknown>>;
  };
  const text = typeof message === 'string' ? message : String(error);
  if (typeof code === 'number') return { code, message: text, data };
  if (typeof code === 'string') {
    const name = NAMES_BY_CODE.find(([pattern]) => pattern.test(code))?.[1];
    if (name) return { code: BRIDGE_ERRORS[name], message: text, data: { code, ...plainDetails(details) } };
  }
  return { code: BRIDGE_ERRORS.internal, message: `the bridge has a fault: ${text}` };
}

/** Details that JSON can hold, with the name of the option or hint as `field`. */
function plainDetails(details: Readonly<Record<string, unknown>> | undefined): Record<string, unknown> {
  const plain: Record<string, unknown> = {};
  for (const [name, value] of Object.entries(details ?? {})) {
    if (value === null || /^(string|number|boolean)$/.test(typeof value)) plain[name] = value;
  }
  if (typeof details?.option === 'string') plain.field = details.option;
  if (typeof details?.hint === 'string') plain.field = `hints.${details.hint}`;
  return plain;
}
