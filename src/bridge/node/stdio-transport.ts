import type { Readable, Writable } from 'node:stream';
import { BridgeSession } from '../bridge-session.js';
import type { Framing } from '../frame-reader.js';
import { FrameReader, frameMessage } from '../frame-reader.js';
import type { BridgeLimits } from '../limits.js';
import { BRIDGE_LIMITS } from '../limits.js';
import { ThreadPool } from './thread-pool.js';

export interface ServeOptions {
  readonly input: Readable;
  readonly output: Writable;
  readonly writeError: (text: string) => void;
  /** The file that worker threads run. */
  readonly script: URL;
  readonly version: string;
  /** Worker threads at most. */
  readonly threads: number;
  /** Folder that paths may be in; without one every path is refused. */
  readonly folder?: string | undefined;
  /** What one client may take up. @defaultValue BRIDGE_LIMITS */
  readonly limits?: Partial<BridgeLimits>;
  /** Ends the conversation. @defaultValue none */
  readonly signal?: AbortSignal;
}

/**
 * Serves one client until it says `bridge/end`, closes the input, goes away from the output, or the signal comes.
 * What still runs then is stopped.
 */
export async function serveBridge(options: ServeOptions): Promise<void> {
  const { input, output } = options;
  const limits = { ...BRIDGE_LIMITS, ...options.limits };
  const pool = new ThreadPool({
    script: options.script,
    size: options.threads,
    folder: options.folder,
    maxHeapMebibytes: limits.maxHeapMebibytes,
    writeError: options.writeError,
  });
  let end: () => void = () => undefined;
  const ended = new Promise<void>((resolve) => {
    end = resolve;
  });
  const session = new BridgeSession({
    runner: pool,
    version: options.version,
    hasFolder: options.folder !== undefined,
    limits,
    send: (body) => void output.write(frameMessage(framing(), body)),
    onEnd: () => output.write('', () => end()),
  });
  const reader = new FrameReader(limits.maxMessageBytes, {
    onMessage: (body) => session.receive(body),
    onFault: (error) => session.fault(error),
  });
  const framing = (): Framing => reader.framing;
  input.on('data', (chunk: Uint8Array) => reader.push(chunk));
  input.on('end', () => {
    reader.end();
    end();
  });
  input.on('error', () => end());
  output.on('error', () => end());
  options.signal?.addEventListener('abort', () => end());
  await ended;
  session.close();
  input.pause();
  await pool.close();
}
