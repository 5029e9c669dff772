import { addDays, type Day, dayNumber } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { SeasonRule, Task } from '../domain/task.js';
import type { LastDone } from './last-done.js';
import type { CalendarLimit } from './limits.js';
import { seasonDay } from './season.js';

/** Work that hangs on a date, not on frost, is of no use half a year after it. Common practice, no source. */
const datedWorkLastsDays = 183;
const daysBack = 366;

/** The day of a season's work that is still of use: missed work counts until its season is half over (from one frost date
 *  half way to the other), then the next season's counts. So laying up and its way back are never due together.
 *  @param day  as `seasonDay` says, maybe long past
 *  @returns    `day` itself while it is of use
 *  Source: common practice, no source. */
function usefulSeasonDay(rule: SeasonRule, day: Day, today: Day, household: Household): Day {
  let useful = day;
  while (lastUsefulDay(rule, useful, household) < today) useful = seasonDay(rule, useful, true, household);
  return useful;
}

/** Calendar limits with missed seasons passed over.
 *  Source: as `usefulSeasonDay`. */
export function passOverMissed(
  calendar: readonly CalendarLimit[],
  task: Task,
  today: Day,
  household: Household,
): CalendarLimit[] {
  const rule = task.season;
  return calendar.map((limit) =>
    rule === undefined || limit.kind !== 'season'
      ? limit
      : { ...limit, day: usefulSeasonDay(rule, limit.day, today, household) },
  );
}

/** Work that only a season brings needs no history: of unknown past it belongs to getting to know the machine only while its own
 *  season runs; otherwise the season brings it, as if the machine had come new.
 *  Source: common practice, no source. */
export function knownBySeason(last: LastDone, task: Task, today: Day, household: Household): LastDone {
  if (!last.unknown || task.season === undefined || task.every !== undefined) return last;
  const aYearAgo = seasonDay(task.season, addDays(today, -daysBack), false, household);
  return usefulSeasonDay(task.season, aYearAgo, today, household) <= today ? last : { ...last, unknown: false };
}

function lastUsefulDay(rule: SeasonRule, day: Day, household: Household): Day {
  if (rule.before !== 'first-frost' && rule.before !== 'last-frost') return addDays(day, datedWorkLastsDays);
  const frost = addDays(day, rule.days);
  const other = { before: rule.before === 'first-frost' ? 'last-frost' : 'first-frost', days: 0 } as const;
  const span = dayNumber(seasonDay(other, addDays(frost, 1), false, household)) - dayNumber(frost);
  return addDays(frost, Math.floor(span / 2));
}
