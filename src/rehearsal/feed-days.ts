import { addDays, type Day, daysBetween } from '../domain/day.js';
import type { Random } from '../domain/outside.js';

/** Mean length of an alive and a silent stretch together, days. Common practice, no source. */
const meanCycleDays = 24;

/** Days on which a feed is alive: that share of all days, rounded, in blocks, because sensors fail for a while and not by
 *  the day.
 *  @param share 0 to 1 */
export function feedDays(from: Day, to: Day, share: number, random: Random): ReadonlySet<Day> {
  const total = Math.max(0, daysBetween(from, to) + 1);
  const alive = Math.round(share * total);
  const silent = total - alive;
  const cycles = Math.min(Math.max(1, Math.round(total / meanCycleDays)), Math.max(1, alive), Math.max(1, silent));
  const aliveParts = cutUp(alive, cycles, random);
  const silentParts = cutUp(silent, cycles, random);
  const isAliveFirst = random() < share;
  const days = new Set<Day>();
  let index = 0;
  for (let cycle = 0; cycle < cycles; cycle += 1) {
    for (const isAlive of [isAliveFirst, !isAliveFirst]) {
      const length = (isAlive ? aliveParts : silentParts)[cycle] ?? 0;
      for (let i = 0; i < length; i += 1, index += 1) if (isAlive) days.add(addDays(from, index));
    }
  }
  return days;
}

/** Whole numbers that add up to `total`, as random cuts make them; each at least 1 where the total allows it. */
function cutUp(total: number, parts: number, random: Random): number[] {
  const spare = Math.max(0, total - parts);
  const cuts = Array.from({ length: parts - 1 }, () => Math.floor(random() * (spare + 1))).sort((a, b) => a - b);
  const ends = [...cuts, spare];
  const least = total >= parts ? 1 : 0;
  return ends.map((end, i) => end - (ends[i - 1] ?? 0) + least).map((part) => Math.min(part, total));
}
