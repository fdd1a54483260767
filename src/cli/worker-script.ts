/** The file that worker threads run; it lies beside the program, which is always started by its own file. */
export function workerScript(): URL {
  const script = findWorkerScript();
  if (script) return script;
  throw new Error('workerScript: the program was not started by its main file');
}

/** The same, undefined where the command line runs inside another program. */
export const findWorkerScript = (): URL | undefined =>
  main === undefined ? undefined : new URL('./worker.js', main);

/** Set by main.ts, as bundling moves every other file. */
let main: string | undefined;

export function setMainScript(url: string): void {
  main = url;
}
