import type { ErrorAnswer } from './error-codes.js';
import { BRIDGE_ERRORS, BridgeError, toErrorAnswer } from './error-codes.js';
import type { JobOutcome, JobRunner, RunningJob } from './job.js';
import type { BridgeLimits } from './limits.js';
import { BRIDGE_LIMITS } from './limits.js';
import { makeJob } from './make-job.js';
import { METHOD_SCHEMAS, PROTOCOL_VERSION } from './method-schemas.js';
import type { ArrayForm } from './number-arrays.js';
import type { RequestId, RpcRequest } from './read-request.js';
import { checkRequest, idOf, parseMessage, readRequest } from './read-request.js';
import { ResultStore } from './result-store.js';

export interface BridgeSessionOptions {
  readonly runner: JobRunner;
  /** Sends the bytes of one message; the transport frames it. */
  readonly send: (body: Uint8Array) => void;
  /** Version of the program, for the greeting. */
  readonly version: string;
  /** Whether paths may be used at all, for the greeting. */
  readonly hasFolder?: boolean;
  /** What one client may take up. @defaultValue BRIDGE_LIMITS */
  readonly limits?: Partial<BridgeLimits>;
  /** Called after `bridge/end` has been answered. */
  readonly onEnd?: () => void;
}

/** Messages up to this size are parsed at once; parsing a larger one would hold up the loop. */
const INLINE_BYTES = 1 << 17;

const ENCODER = new TextEncoder();

/** Takes the bytes of one answer, or undefined when a notification is done. */
type Reply = (body: Uint8Array | undefined) => void;

interface Pending {
  readonly running: RunningJob;
  readonly answer: (error: ErrorAnswer) => void;
}

/**
 * One client's conversation: JSON-RPC 2.0 requests in, answers and progress out. Knows neither pipes nor threads;
 * those are the transport's and the runner's.
 */
export class BridgeSession {
  readonly #options: BridgeSessionOptions;
  readonly #limits: BridgeLimits;
  readonly #store: ResultStore;
  readonly #pending = new Map<RequestId, Pending>();
  /** Messages that are still being parsed, and the requests cancelled meanwhile. */
  #parsing = 0;
  readonly #cancelledEarly = new Set<RequestId>();
  #form: ArrayForm = 'numbers';
  #isGreeted = false;
  #isEnded = false;

  constructor(options: BridgeSessionOptions) {
    this.#options = options;
    this.#limits = { ...BRIDGE_LIMITS, ...options.limits };
    this.#store = new ResultStore(this.#limits);
  }

  /** Takes the bytes of one message. Never throws; what is wrong is answered. */
  receive(body: Uint8Array): void {
    if (this.#isEnded) return;
    if (body.length <= INLINE_BYTES) {
      try {
        this.#take(parseMessage(body));
      } catch (error) {
        this.fault(error);
      }
      return;
    }
    this.#parsing++;
    this.#options.runner
      .parse(body)
      .then(
        (message) => this.#take(message),
        (error: unknown) => this.fault(error),
      )
      .finally(() => {
        if (--this.#parsing === 0) this.#cancelledEarly.clear();
      });
  }

  /** Answers a message that could not be read; it has no id. */
  fault(error: unknown): void {
    if (!this.#isEnded) this.#options.send(errorBody(null, toErrorAnswer(error)));
  }

  /** Stops all work; nothing is sent from here on. */
  close(): void {
    this.#isEnded = true;
    for (const { running } of this.#pending.values()) running.cancel();
    this.#pending.clear();
  }

  #take(message: unknown): void {
    if (this.#isEnded) return;
    const send = (body: Uint8Array | undefined) => {
      if (body && !this.#isEnded) this.#options.send(body);
    };
    if (Array.isArray(message) && message.length > 0) this.#takeAll(message, send);
    else this.#takeOne(message, send);
  }

  /** A batch is answered as one list once every request in it is. */
  #takeAll(messages: readonly unknown[], send: Reply): void {
    const bodies: Uint8Array[] = [];
    let open = messages.length;
    for (const message of messages) {
      this.#takeOne(message, (body) => {
        if (body) bodies.push(body);
        if (--open === 0 && bodies.length > 0) send(joinBatch(bodies));
      });
    }
  }

  #takeOne(message: unknown, reply: Reply): void {
    let isAnswered = false;
    const once: Reply = (body) => {
      if (isAnswered) return;
      isAnswered = true;
      reply(body);
    };
    let request: RpcRequest;
    try {
      request = readRequest(message);
    } catch (error) {
      once(errorBody(idOf(message), toErrorAnswer(error)));
      return;
    }
    const { id } = request;
    const fail = (error: ErrorAnswer) => once(id === undefined ? undefined : errorBody(id, error));
    try {
      if (id === undefined && request.method.startsWith('$/')) {
        if (request.method === '$/cancelRequest') this.#cancel(request.params.id);
        once(undefined);
        return;
      }
      if (id !== undefined && this.#cancelledEarly.delete(id)) throw cancelled();
      const result = this.#answer(request);
      if (result === undefined) {
        this.#work(request, once, fail);
        return;
      }
      once(id === undefined ? undefined : resultBody(id, ENCODER.encode(JSON.stringify(result))));
      if (request.method === 'bridge/end') {
        this.close();
        this.#options.onEnd?.();
      }
    } catch (error) {
      fail(toErrorAnswer(error));
    }
  }

  /** Answers what needs no work; undefined for the rest. */
  #answer(request: RpcRequest): unknown {
    const method = checkRequest(request);
    if (method === 'bridge/greet') return this.#greet(request.params);
    if (!this.#isGreeted) {
      throw new BridgeError(
        'notGreeted',
        `the bridge was not greeted, got ${method}, expected bridge/greet first`,
      );
    }
    if (method === 'bridge/status') {
      return {
        meshes: this.#store.meshIds,
        results: this.#store.resultIds,
        corners: this.#store.cornerCount,
        pending: this.#pending.size,
      };
    }
    if (method === 'bridge/end') return {};
    if (method === 'mesh/close') {
      const id = request.params.mesh as string;
      this.#store.close(id);
      this.#options.runner.forget(id);
      return {};
    }
    return undefined;
  }

  #greet(params: RpcRequest['params']) {
    if (params.protocol !== PROTOCOL_VERSION) {
      throw new BridgeError(
        'notGreeted',
        `bridge/greet: the protocol is not spoken here, got version ${params.protocol}, expected ${PROTOCOL_VERSION}`,
        { supported: [PROTOCOL_VERSION] },
      );
    }
    this.#isGreeted = true;
    this.#form = (params.arrays as ArrayForm | undefined) ?? 'numbers';
    return {
      protocol: PROTOCOL_VERSION,
      version: this.#options.version,
      methods: Object.keys(METHOD_SCHEMAS),
      limits: this.#limits,
      hasFolder: this.#options.hasFolder === true,
    };
  }

  #work(request: RpcRequest, once: Reply, fail: (error: ErrorAnswer) => void): void {
    const { id } = request;
    // A notification of work to be done can be neither answered nor cancelled; it is done under a key of its own.
    const key = id === undefined ? (Symbol('notification') as unknown as RequestId) : id;
    if (this.#pending.has(key)) {
      throw new BridgeError(
        'notARequest',
        'the message repeats the id of a request that is not answered yet',
        {
          field: 'id',
        },
      );
    }
    const { maxPending } = this.#limits;
    if (this.#pending.size >= maxPending) {
      throw new BridgeError('limitReached', `too many requests wait, expected at most ${maxPending}`, {
        limit: 'maxPending',
        value: maxPending,
      });
    }
    const job = makeJob(request, this.#store, this.#form);
    const running = this.#options.runner.run(job, (share, stage) => {
      if (id !== undefined && this.#pending.get(id) === pending) this.#sendProgress(id, share, stage);
    });
    const pending: Pending = { running, answer: fail };
    this.#pending.set(key, pending);
    const finish = (conclude: () => void) => {
      if (this.#pending.get(key) !== pending) return;
      this.#pending.delete(key);
      try {
        conclude();
      } catch (error) {
        fail(toErrorAnswer(error));
      }
    };
    running.outcome.then(
      (outcome) => finish(() => this.#conclude(outcome, id, once)),
      (error: unknown) => finish(() => fail(toErrorAnswer(error))),
    );
  }

  #conclude({ body, kept }: JobOutcome, id: RequestId | undefined, once: Reply): void {
    for (const each of kept) this.#store.keep(each);
    once(id === undefined ? undefined : resultBody(id, body));
  }

  #cancel(id: unknown): void {
    const pending = this.#pending.get(id as RequestId);
    if (!pending) {
      if (this.#parsing > 0 && this.#cancelledEarly.size < this.#limits.maxPending)
        this.#cancelledEarly.add(id as RequestId);
      return;
    }
    this.#pending.delete(id as RequestId);
    pending.running.cancel();
    pending.answer({ code: BRIDGE_ERRORS.cancelled, message: 'the request was cancelled' });
  }

  #sendProgress(id: RequestId, share: number, stage: string): void {
    if (this.#isEnded) return;
    const params = { id, share, stage };
    this.#options.send(ENCODER.encode(JSON.stringify({ jsonrpc: '2.0', method: '$/progress', params })));
  }
}

const cancelled = (): BridgeError => new BridgeError('cancelled', 'the request was cancelled');

function errorBody(id: RequestId, error: ErrorAnswer): Uint8Array {
  return ENCODER.encode(JSON.stringify({ jsonrpc: '2.0', id, error }));
}

/** The answer round a result that is JSON already. */
function resultBody(id: RequestId, result: Uint8Array): Uint8Array {
  return joinBytes([
    ENCODER.encode(`{"jsonrpc":"2.0","id":${JSON.stringify(id)},"result":`),
    result,
    ENCODER.encode('}'),
  ]);
}

function joinBatch(bodies: readonly Uint8Array[]): Uint8Array {
  const [open, comma, close] = ['[', ',', ']'].map((text) => ENCODER.encode(text));
  return joinBytes([open!, ...bodies.flatMap((body, i) => (i === 0 ? [body] : [comma!, body])), close!]);
}

function joinBytes(parts: readonly Uint8Array[]): Uint8Array {
  const joined = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    joined.set(part, at);
    at += part.length;
  }
  return joined;
}
