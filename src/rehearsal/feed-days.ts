import { addDays, type Day, daysBetween } from '../domain/day.js';
import type { Random } from '../domain/outside.js';

/** Mean length of a stretch in which the feed is alive or silent, days. Common practice, no source. */
const meanBlockDays = 12;

/** Days on which a feed is alive: about `share` of all days, in blocks, because sensors fail for a while and not by the day.
 *  @param share 0 to 1 */
export function feedDays(from: Day, to: Day, share: number, random: Random): ReadonlySet<Day> {
  const days = new Set<Day>();
  const total = daysBetween(from, to) + 1;
  let index = 0;
  let alive = random() < share;
  while (index < total) {
    const mean = 2 * meanBlockDays * (alive ? share : 1 - share);
    const length = Math.max(1, Math.round(-Math.log(1 - random()) * mean));
    for (let i = 0; i < length && index < total; i += 1, index += 1) if (alive) days.add(addDays(from, index));
    if (share > 0 && share < 1) alive = !alive;
  }
  return days;
}
