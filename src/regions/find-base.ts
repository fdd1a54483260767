import type { Profile } from './profile.js';

/** Where a branch ends: the level at which the front's length starts to grow faster than on a cone. */
export interface Base {
  /** Distance from the branch's tip, model units. */
  readonly level: number;
  /** Length of the level line there. */
  readonly length: number;
  /** Growth of the length per distance over 2π after and before: 0 on a tube, 1 on a plane. */
  readonly growthAfter: number;
  readonly growthBefore: number;
}

export const BASE_LIMITS = Object.freeze({
  /** Least rise of the growth at the base. */
  rise: 0.15,
  /** From one and a half to four radii after the base the length stays above this multiple. */
  sustained: 1.4,
  /** Least distance from the tip, in radii of the base. */
  reach: 1.6,
  /** Most growth before the base. */
  flare: 0.6,
  /** Most shrinkage before the base: a front that collapses has met itself. */
  shrink: 0.7,
});

/**
 * Finds the first base along a tip's profile: a sustained kink of the level line's length.
 *
 * @param least - bases nearer to the tip than this are ignored
 */
export function findBase(profile: Profile, least = 0, areaLimit = Infinity): Base | undefined {
  const { lengths, areas, step } = profile;
  const { judge, isSustained } = new ProfileJudge(profile);
  const isKink = (base: Base): boolean =>
    base.growthAfter - Math.max(0, base.growthBefore) >= BASE_LIMITS.rise &&
    base.level >= (BASE_LIMITS.reach * base.length) / (2 * Math.PI) &&
    base.growthBefore <= BASE_LIMITS.flare &&
    base.growthBefore >= -BASE_LIMITS.shrink &&
    isSustained(base, BASE_LIMITS.sustained, 1.5);
  const start = Math.max(1, Math.ceil(least / step));
  for (let i = start; i < lengths.length; i++) {
    if (areas[i]! > areaLimit) return undefined;
    const first = judge(i * step);
    if (!first || !isKink(first)) continue;
    let best = first;
    // The kink is where the growth rises most; later levels must be clearly better, as growth often goes on rising.
    const merit = (base: Base) =>
      base.growthAfter - base.growthBefore - (0.25 * (base.level - first.level) * 2 * Math.PI) / first.length;
    const radius = first.length / (2 * Math.PI);
    for (let level = first.level + step; level <= first.level + 1.2 * radius; level += step) {
      const other = judge(level);
      if (!other || !isKink(other)) continue;
      if (merit(other) > merit(best)) best = other;
    }
    return best;
  }
  return undefined;
}

/**
 * The base of a short, flared branch: the level of the saddle at which it meets a neighbour, where the
 * branch is long enough for its width there.
 */
export function judgeSaddle(profile: Profile, level: number): Base | undefined {
  const { judge, isSustained } = new ProfileJudge(profile);
  const base = judge(level);
  if (!base || base.growthAfter < 0.3 || base.growthBefore > 0.8) return undefined;
  const radius = base.length / (2 * Math.PI);
  if (level < 2.2 * radius || !isSustained(base, 1.1, 1)) return undefined;
  // The web between two fingers lies beyond the knuckles of a thumb: its root is a little further in.
  return judge(level + ROOT * radius) ?? base;
}

const ROOT = 0.6;

class ProfileJudge {
  readonly #profile: Profile;
  readonly #end: number;

  constructor(profile: Profile) {
    this.#profile = profile;
    this.#end = profile.lengths.length * profile.step;
  }

  /** Length of the level line at any level. */
  #at(level: number): number {
    const { lengths, step } = this.#profile;
    const x = level / step - 0.5;
    const i = Math.floor(x);
    if (i < 0) return (lengths[0]! * Math.max(0, level)) / (step / 2);
    if (i + 1 >= lengths.length) return 0;
    return lengths[i]! + (x - i) * (lengths[i + 1]! - lengths[i]!);
  }

  /** Growth before and after a level, over a window of one radius so that a single jagged level does not decide. */
  readonly judge = (level: number): Base | undefined => {
    const length = this.#at(level);
    const radius = length / (2 * Math.PI);
    if (!(radius > 0) || level + 2 * radius > this.#end || level < radius) return undefined;
    return {
      level,
      length,
      growthAfter: (this.#at(level + radius) - length) / length,
      growthBefore: (length - this.#at(level - radius)) / length,
    };
  };

  /** Whether the length stays above a multiple of the base's, up to four radii off. */
  readonly isSustained = (base: Base, multiple: number, from: number): boolean => {
    const { step } = this.#profile;
    const radius = base.length / (2 * Math.PI);
    const last = Math.min(this.#end - step, base.level + 4 * radius);
    for (let level = base.level + from * radius; level <= last; level += step)
      if (this.#at(level) < multiple * base.length) return false;
    return true;
  };
}
