import type { Streams } from './streams.js';

/** A line on standard error that tells how far the work is. */
export interface Progress {
  /** `share` runs from 0 to 1; `stage` says what is being done. */
  readonly update: (share: number, stage: string) => void;
  /** Writes a line above the bar. */
  readonly warn: (message: string) => void;
  /** Removes the bar. */
  readonly end: () => void;
}

const BAR_WIDTH = 24;

/** A bar that redraws itself on a terminal; on anything else only warnings are written. */
export function createProgress(streams: Streams, isQuiet = false): Progress {
  let shown = '';
  const clear = () => {
    if (shown !== '') streams.writeError('\r\u001b[2K');
    shown = '';
  };
  const draw = (line: string) => {
    if (line === shown) return;
    streams.writeError(`\r\u001b[2K${line}`);
    shown = line;
  };
  return {
    update(share, stage) {
      if (!streams.isTerminal || isQuiet) return;
      const bounded = Math.min(1, Math.max(0, share));
      const full = Math.round(bounded * BAR_WIDTH);
      const percent = `${Math.floor(100 * bounded)}`.padStart(3);
      const bar = '█'.repeat(full) + '░'.repeat(BAR_WIDTH - full);
      draw(`${bar} ${percent} %  ${stage}`.slice(0, Math.max(10, streams.columns - 1)));
    },
    warn(message) {
      if (isQuiet) return;
      const line = shown;
      clear();
      streams.writeError(`warning: ${message}\n`);
      if (line !== '') draw(line);
    },
    end: clear,
  };
}
