/** The file that worker threads run; it lies beside the program, which is always started by its own file. */
export function workerScript(): URL {
  return new URL('./worker.js', mainScript());
}

/** Set by main.ts, as bundling moves every other file. */
let main: string | undefined;

export function setMainScript(url: string): void {
  main = url;
}

function mainScript(): string {
  if (main !== undefined) return main;
  throw new Error('workerScript: the program was not started by its main file');
}
