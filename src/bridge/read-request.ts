import { checkSchema, parseJson } from '../io/index.js';
import { BridgeError } from './error-codes.js';
import type { MethodName } from './method-schemas.js';
import { METHOD_SCHEMAS } from './method-schemas.js';
import { invalidParams, packNumbers } from './number-arrays.js';

export type RequestId = string | number | null;

/** A request, or a notification when it has no id. */
export interface RpcRequest {
  readonly id: RequestId | undefined;
  readonly method: string;
  readonly params: Readonly<Record<string, unknown>>;
}

/** Parses the bytes of a message. @throws unreadable */
export function parseMessage(body: Uint8Array): unknown {
  try {
    return parseJson(body, 'message');
  } catch (error) {
    throw new BridgeError('unreadable', (error as Error).message);
  }
}

/** The same with long lists of numbers as typed arrays, which pass between threads without being copied. */
export function parsePacked(body: Uint8Array): unknown {
  return packNumbers(parseMessage(body));
}

/** The id that an answer must carry, as far as the message has one. */
export function idOf(message: unknown): RequestId {
  const id = (message as { id?: unknown } | null)?.id;
  return typeof id === 'string' || typeof id === 'number' ? id : null;
}

/** @throws notARequest, invalidParams */
export function readRequest(message: unknown): RpcRequest {
  if (typeof message !== 'object' || message === null || Array.isArray(message)) {
    throw new BridgeError('notARequest', 'the message is not a request, expected an object');
  }
  const { jsonrpc, id, method, params } = message as Record<string, unknown>;
  if (jsonrpc !== '2.0') throw notARequest('jsonrpc', "'2.0'");
  if (typeof method !== 'string') throw notARequest('method', 'a text');
  const hasId = Object.hasOwn(message, 'id');
  if (hasId && id !== null && typeof id !== 'string' && !(typeof id === 'number' && Number.isFinite(id))) {
    throw notARequest('id', 'a text, a number or null');
  }
  if (params !== undefined && (typeof params !== 'object' || params === null || Array.isArray(params))) {
    throw new BridgeError('invalidParams', 'params is not valid, expected an object with named fields', {
      field: 'params',
    });
  }
  return {
    id: hasId ? (id as RequestId) : undefined,
    method,
    params: (params ?? {}) as RpcRequest['params'],
  };
}

const notARequest = (field: string, expected: string): BridgeError =>
  new BridgeError('notARequest', `the message's ${field} is not valid, expected ${expected}`, { field });

/** Checks a request's method and fields. @throws unknownMethod, invalidParams */
export function checkRequest({ method, params }: RpcRequest): MethodName {
  if (!Object.hasOwn(METHOD_SCHEMAS, method)) {
    throw new BridgeError('unknownMethod', `there is no method '${method.slice(0, 60)}'`, {
      methods: Object.keys(METHOD_SCHEMAS),
    });
  }
  try {
    checkSchema(params, METHOD_SCHEMAS[method as MethodName], 'params');
  } catch (error) {
    const { message, details } = error as { message: string; details?: { path?: unknown } };
    throw new BridgeError('invalidParams', message, { field: details?.path ?? 'params' });
  }
  if (method === 'seams/route') checkOneOf(params, ['mesh', 'proposal']);
  if (method === 'seams/carry')
    checkOneOf(
      params,
      ['proposal', 'carried', 'edges'],
      params.sheet !== undefined || params.mesh !== undefined,
    );
  if (method === 'charts/flatten') checkOneOf(params, ['proposal', 'carried', 'edges']);
  if (method === 'sheet/measure') checkOneOf(params, ['sheet', 'mesh']);
  return method as MethodName;
}

/** What is flattened, carried or measured is named in one of several ways. */
function checkOneOf(params: RpcRequest['params'], names: readonly string[], mayLack = false): void {
  const got = names.filter((name) => params[name] !== undefined);
  if (got.length > 1 || (got.length === 0 && !mayLack)) {
    throw invalidParams(
      got[1] ?? names[0]!,
      got.length === 0 ? undefined : `${got.length} of them`,
      `one of ${names.join(', ')}`,
    );
  }
  if (got[0] === 'edges' && params.mesh === undefined) {
    throw invalidParams('mesh', undefined, 'the name of an open mesh');
  }
}
