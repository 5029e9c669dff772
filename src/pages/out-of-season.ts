import type { Day } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import { findOutOfSeason } from '../domain/season-work.js';
import { sayOutOfSeason } from '../words/out-of-season.js';
import { pageFault } from './errors.js';
import type { Shown } from './shown.js';

/** What to ask before season work is written down far ahead of its season.
 *  @returns null where nothing of what is ticked is */
export function askOutOfSeason(
  tasks: readonly string[],
  day: Day,
  { machine, ahead, outlook, household }: Shown,
): Fault | null {
  const early = findOutOfSeason(tasks, day, machine, ahead?.dues ?? []);
  if (early === null) return null;
  return pageFault({
    code: 'out-of-season',
    message: sayOutOfSeason(early, machine, outlook.today, household.locale),
    remedy: 'Untick it. If it really was done, tick that below and press the button again.',
  });
}
