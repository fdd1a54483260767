import { statSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { BRIDGE_LIMITS } from '../bridge/index.js';
import { serveBridge } from '../bridge/node/index.js';
import { InvalidOptionError } from '../errors.js';
import type { CommandRun } from './command.js';
import { EXIT } from './exit-codes.js';
import { readInteger, readText } from './parse-arguments.js';
import { workerScript } from './worker-script.js';

/** Serves the program that started this one until it closes standard input. */
export async function runBridge({ options, streams, readVersion }: CommandRun): Promise<number> {
  const folder = readText(options, 'folder');
  if (folder !== undefined && !statSync(folder, { throwIfNoEntry: false })?.isDirectory()) {
    throw new InvalidOptionError(
      'OPTION_INVALID',
      `--folder: not a folder, got '${folder}', expected a folder that exists`,
      { option: 'folder' },
    );
  }
  const messageMebibytes = readInteger(options, 'max-message', 1, 1024);
  await serveBridge({
    input: process.stdin,
    output: process.stdout,
    writeError: streams.writeError,
    script: workerScript(),
    version: readVersion(),
    threads: readInteger(options, 'jobs', 1, 64) ?? Math.min(4, availableParallelism()),
    folder,
    limits: {
      maxMessageBytes:
        messageMebibytes === undefined ? BRIDGE_LIMITS.maxMessageBytes : messageMebibytes * 2 ** 20,
      maxMeshes: readInteger(options, 'max-meshes', 1, 1024) ?? BRIDGE_LIMITS.maxMeshes,
      maxHeapMebibytes: readInteger(options, 'max-memory', 64, 65536) ?? BRIDGE_LIMITS.maxHeapMebibytes,
    },
    signal: streams.signal,
  });
  return streams.signal.aborted ? EXIT.interrupted : EXIT.done;
}
