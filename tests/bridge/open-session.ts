import { BridgeSession, createInlineRunner } from '../../src/bridge/index.js';

export interface Answer {
  readonly id?: unknown;
  readonly result?: Record<string, unknown>;
  readonly error?: {
    readonly code: number;
    readonly message: string;
    readonly data?: Record<string, unknown>;
  };
}

/** A session without pipes or threads, and what it has sent. */
export function openSession(options: { limits?: object } = {}) {
  const sent: (Answer | Answer[])[] = [];
  const waiting: (() => void)[] = [];
  const session = new BridgeSession({
    runner: createInlineRunner(),
    version: '1.2.3',
    send(body) {
      sent.push(JSON.parse(new TextDecoder().decode(body)) as Answer);
      for (const wake of waiting.splice(0)) wake();
    },
    ...options,
  });
  const text = (message: string) => session.receive(new TextEncoder().encode(message));
  const answerOf = async (id: unknown): Promise<Answer> => {
    for (;;) {
      const found = sent.find((each) => !Array.isArray(each) && each.id === id && !('method' in each));
      if (found) return found as Answer;
      await new Promise<void>((resolve) => waiting.push(resolve));
    }
  };
  const call = (id: unknown, method: string, params: unknown = {}) => {
    text(JSON.stringify({ jsonrpc: '2.0', id, method, params }));
    return answerOf(id);
  };
  return { session, sent, text, call, answerOf };
}

export const SQUARE = {
  points: [0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0],
  faceVertexCounts: [4],
  faceVertexIndices: [0, 1, 2, 3],
};

export const AROUND = 8;
export const RINGS = 8;

/** An open tube of quads. */
export const TUBE = {
  points: Array.from({ length: AROUND * RINGS }, (_, i) => {
    const angle = (2 * Math.PI * (i % AROUND)) / AROUND;
    return [Math.cos(angle), 0.7 * Math.floor(i / AROUND), Math.sin(angle)];
  }).flat(),
  faceVertexCounts: new Array<number>(AROUND * (RINGS - 1)).fill(4),
  faceVertexIndices: Array.from({ length: AROUND * (RINGS - 1) }, (_, i) => {
    const [a, b] = [i, i - (i % AROUND) + ((i + 1) % AROUND)];
    return [a, a + AROUND, b + AROUND, b];
  }).flat(),
};
