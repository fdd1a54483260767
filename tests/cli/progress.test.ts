import { describe, expect, it } from 'vitest';
import { createProgress } from '../../src/cli/progress.js';
import type { Streams } from '../../src/cli/streams.js';

function catchErrors(isTerminal: boolean, columns = 60) {
  const parts: string[] = [];
  const streams: Streams = {
    writeOut: () => expect.unreachable('progress writes to standard error only'),
    writeError: (text) => parts.push(text),
    isTerminal,
    columns,
    readInput: async () => new Uint8Array(),
    signal: new AbortController().signal,
  };
  return { streams, parts };
}

/** What a terminal shows in the end: carriage return and "erase line" take away the line. */
const shown = (parts: readonly string[]) =>
  parts
    .join('')
    .split('\n')
    .map((line) => line.slice(line.lastIndexOf('\u001b[2K') + (line.includes('\u001b[2K') ? 4 : 0)));

describe('progress', () => {
  it('draws a bar on a terminal and takes it away at the end', () => {
    const { streams, parts } = catchErrors(true);
    const progress = createProgress(streams);
    progress.update(0.5, 'packing');
    expect(shown(parts)).toEqual([`${'█'.repeat(12)}${'░'.repeat(12)}  50 %  packing`]);
    progress.end();
    expect(shown(parts)).toEqual(['']);
  });

  it('keeps the bar below warnings', () => {
    const { streams, parts } = catchErrors(true);
    const progress = createProgress(streams);
    progress.update(0, 'reading');
    progress.warn('two faces coincide');
    expect(shown(parts)).toEqual(['warning: two faces coincide', `${'░'.repeat(24)}   0 %  reading`]);
  });

  it('writes warnings only where there is no terminal', () => {
    const { streams, parts } = catchErrors(false);
    const progress = createProgress(streams);
    progress.update(0.3, 'packing');
    progress.warn('two faces coincide');
    progress.end();
    expect(parts).toEqual(['warning: two faces coincide\n']);
  });

  it('writes nothing when quiet', () => {
    const { streams, parts } = catchErrors(true);
    const progress = createProgress(streams, true);
    progress.update(0.3, 'packing');
    progress.warn('two faces coincide');
    progress.end();
    expect(parts).toEqual([]);
  });

  it('fits the terminal and bounds the share', () => {
    const { streams, parts } = catchErrors(true, 40);
    const progress = createProgress(streams);
    for (const share of [-1, 2, Number.NaN]) progress.update(share, 'a stage with a very long name indeed');
    for (const line of shown(parts)) expect(line.length).toBeLessThan(40);
    expect(parts.join('')).toContain('100 %');
  });
});
