import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Pace } from '../../src/report/page/pace.js';

/** A drawer whose whole pictures take some milliseconds, with a list of how each was drawn. */
function makeDrawer(wholeTime: number) {
  const drawn: string[] = [];
  const draw = (isCoarse: boolean) => {
    drawn.push(isCoarse ? 'coarse' : 'whole');
    const there = performance.now() + (isCoarse ? 5 : wholeTime);
    return () => performance.now() >= there;
  };
  return { drawn, draw };
}

const nextFrame = (act: () => void) => void setTimeout(act, 16);

/** Asks at every frame for so long. */
function move(pace: Pace, milliseconds: number): void {
  for (let t = 0; t < milliseconds; t += 16) {
    pace.ask();
    vi.advanceTimersByTime(16);
  }
}

/** Moves for a moment, and rests until the whole picture is there. */
function rest(pace: Pace): void {
  move(pace, 32);
  vi.advanceTimersByTime(1200);
}

describe('the pace of drawing', () => {
  beforeEach(() => {
    vi.useFakeTimers({
      toFake: ['setTimeout', 'clearTimeout', 'performance'],
    });
  });
  afterEach(() => {
    vi.useRealTimers();
  });

  it('draws a dense surface coarse from the first picture on, and whole once it rests', () => {
    const { drawn, draw } = makeDrawer(400);
    const pace = new Pace(draw, 400_000, nextFrame);
    move(pace, 3000);
    expect(new Set(drawn)).toEqual(new Set(['coarse']));
    expect(drawn.length).toBeGreaterThan(60);
    vi.advanceTimersByTime(1000);
    expect(drawn.at(-1)).toBe('whole');
    const count = drawn.length;
    vi.advanceTimersByTime(5000);
    expect(drawn).toHaveLength(count);
    // A second one tells that they are slow; the next drag is coarse again.
    rest(pace);
    drawn.length = 0;
    move(pace, 500);
    expect(new Set(drawn)).toEqual(new Set(['coarse']));
  });

  it('finds a quick machine slow although the view never stops moving', () => {
    let time = 10;
    const drawn: string[] = [];
    const pace = new Pace(
      (isCoarse) => {
        drawn.push(isCoarse ? 'coarse' : 'whole');
        const there = performance.now() + (isCoarse ? 5 : time);
        return () => performance.now() >= there;
      },
      400_000,
      nextFrame,
    );
    for (let i = 0; i < 10; i++) rest(pace);
    time = 400;
    drawn.length = 0;
    move(pace, 3000);
    expect(drawn.slice(0, 2)).toEqual(['whole', 'whole']);
    expect(new Set(drawn.slice(2))).toEqual(new Set(['coarse']));
    expect(drawn.length).toBeGreaterThan(60);
  });

  it('never lets whole pictures queue up', () => {
    const { drawn, draw } = makeDrawer(400);
    const pace = new Pace(draw, 400_000, nextFrame);
    pace.choice = 'whole';
    move(pace, 4000);
    expect(drawn.length).toBeLessThanOrEqual(11);
    expect(new Set(drawn)).toEqual(new Set(['whole']));
  });

  it('stays whole where pictures are quick, and where there are few triangles', () => {
    for (const [time, triangles] of [
      [10, 400_000],
      [400, 2000],
    ] as const) {
      const { drawn, draw } = makeDrawer(time);
      const pace = new Pace(draw, triangles, nextFrame);
      for (let i = 0; i < 2; i++) rest(pace);
      if (triangles > 2000) drawn.length = 0;
      move(pace, 3000);
      expect(new Set(drawn)).toEqual(new Set(['whole']));
    }
  });

  it('forgives a single slow spell', () => {
    let time = 400;
    const drawn: boolean[] = [];
    const pace = new Pace(
      (isCoarse) => {
        drawn.push(isCoarse);
        const there = performance.now() + time;
        return () => performance.now() >= there;
      },
      400_000,
      nextFrame,
    );
    for (let i = 0; i < 3; i++) rest(pace);
    time = 10;
    expect(pace.isSlow).toBe(true);
    // Whole pictures at rest are quick again and make up for it.
    for (let i = 0; i < 6; i++) rest(pace);
    drawn.length = 0;
    move(pace, 500);
    expect(drawn).not.toContain(true);
  });
});
