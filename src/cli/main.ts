#!/usr/bin/env node
import { readFileSync } from 'node:fs';
import { runCommandLine } from './run.js';
import type { Streams } from './streams.js';
import { setMainScript } from './worker-script.js';

const interrupt = new AbortController();
for (const name of ['SIGINT', 'SIGTERM'] as const) {
  process.once(name, () => {
    interrupt.abort();
    // A second one ends the process at once, as it would have without a handler.
    process.once(name, () => process.exit(130));
  });
}

const streams: Streams = {
  writeOut: (text) => void process.stdout.write(text),
  writeError: (text) => void process.stderr.write(text),
  isTerminal: process.stderr.isTTY === true,
  columns: process.stderr.columns ?? 80,
  readInput: async () => {
    const parts: Uint8Array[] = [];
    for await (const part of process.stdin) parts.push(part as Uint8Array);
    return Buffer.concat(parts);
  },
  signal: interrupt.signal,
};

/** The version stands in the package's own package.json, two folders up from dist/cli. */
function readVersion(): string {
  const text = readFileSync(new URL('../../package.json', import.meta.url), 'utf8');
  return (JSON.parse(text) as { version: string }).version;
}

// A reader that closes the pipe early (`| head`) is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  process.exit(error.code === 'EPIPE' ? 0 : 1);
});

setMainScript(import.meta.url);
process.exitCode = await runCommandLine(process.argv.slice(2), streams, readVersion);
