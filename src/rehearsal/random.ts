import type { Random } from '../domain/outside.js';

/** Uniform numbers in [0, 1) from a seed: the same seed, the same year.
 *  Source: mulberry32, public domain, T. Ettinger (from memory). */
export function seededRandom(seed: number): Random {
  let state = Math.floor(seed) >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** A seed of its own for each purpose, so that one more question does not change the weather. */
export function seedFor(seed: number, purpose: string): number {
  let hash = 2_166_136_261 ^ Math.floor(seed);
  for (const ch of purpose) hash = Math.imul(hash ^ (ch.codePointAt(0) ?? 0), 16_777_619);
  return hash >>> 0;
}
