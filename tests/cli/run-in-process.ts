import { runCommandLine } from '../../src/cli/run.js';

export interface ProcessResult {
  readonly code: number;
  readonly out: string;
  readonly error: string;
}

export interface ProcessOptions {
  readonly input?: string;
  readonly isTerminal?: boolean;
  readonly signal?: AbortSignal;
}

/** Runs a command line without a process of its own, with the streams caught. */
export async function runInProcess(
  args: readonly string[],
  options: ProcessOptions = {},
): Promise<ProcessResult> {
  let out = '';
  let error = '';
  const code = await runCommandLine(
    args,
    {
      writeOut: (text) => {
        out += text;
      },
      writeError: (text) => {
        error += text;
      },
      isTerminal: options.isTerminal ?? false,
      columns: 80,
      readInput: async () => new TextEncoder().encode(options.input ?? ''),
      signal: options.signal ?? new AbortController().signal,
    },
    () => '1.2.3',
  );
  return { code, out, error };
}
