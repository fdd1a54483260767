/** Pseudo-random numbers that depend on the seed alone; the same on every machine. */
export interface SeededRandom {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** Uniform whole number from low to high, both included. */
  integer(low: number, high: number): number;
  /** One of the choices, all equally likely. */
  pick<T>(choices: readonly T[]): T;
  /** The numbers 0..count-1 in random order. */
  permutation(count: number): Int32Array;
}

/**
 * Makes a generator from a seed: a 32-bit counter with a mixing step (the "mulberry32" scheme by Tommy
 * Ettinger, public domain, from memory). Good enough for shuffles and noise, not for cryptography.
 */
export function seededRandom(seed: number): SeededRandom {
  // Nearby seeds must not give nearby streams: the counter starts from a mixed seed.
  let state = mix((Math.trunc(seed) ^ 0x9e3779b9) >>> 0);
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    return mix(state) / 4294967296;
  };
  const integer = (low: number, high: number) => low + Math.floor(next() * (high - low + 1));
  return {
    next,
    between: (low, high) => low + (high - low) * next(),
    integer,
    pick: (choices) => choices[integer(0, choices.length - 1)]!,
    permutation(count) {
      const order = Int32Array.from({ length: count }, (_, i) => i);
      for (let i = count - 1; i > 0; i--) {
        const j = integer(0, i);
        const held = order[i]!;
        order[i] = order[j]!;
        order[j] = held;
      }
      return order;
    },
  };
}

function mix(state: number): number {
  let t = Math.imul(state ^ (state >>> 15), state | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return (t ^ (t >>> 14)) >>> 0;
}
