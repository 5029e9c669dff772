import { type Day, dayMs, dayNumber, dayOf } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { askAheadDays, changedPace, oldQuestionDays, oldReadingDays } from './constants.js';
import type { Prospect } from './prospect.js';
import { dayNumberOf } from './said.js';
import type { Moment } from './speaking-times.js';

/** The visit that an old reading leaves in doubt. A forecast keeps the pace of what was read; habits can change, and nothing tells it. So a
 *  reading of some months is asked for anew as soon as `changedPace` times the use expected since then would bring a limit and its tolerance
 *  within the weeks that an answer can still change. A machine that would be far from it even so is left in peace.
 *  Of visits nearer than that the forecast judges.
 *  @returns the first of them, and the day of the reading; null where the reading is young enough, was asked for lately, or nothing would come nearer
 *  Source: own policy. */
export function doubtedByAge(
  prospect: Prospect,
  household: Household,
  moment: Moment,
): { visit: Visit; readOn: Day } | null {
  const { machine, facts, foresight } = prospect;
  const newest = facts.readings.at(-1) ?? (machine.meter.kind === 'none' ? undefined : machine.meter.first);
  if (foresight === null || newest === undefined) return null;
  // What a sensor saw counts as read.
  const readMs = Math.max(newest.atMs, facts.coverage.at(-1)?.toMs ?? newest.atMs);
  const readOn = dayOf(readMs, household.zone);
  if (moment.today - dayNumber(readOn) < oldReadingDays) return null;
  const asked = facts.sent.filter((notice) => notice.kind === 'reading').at(-1);
  if (asked !== undefined && moment.today - dayNumberOf(asked.atMs, household.zone) < oldQuestionDays) return null;
  const soonMs = moment.nowMs + askAheadDays * dayMs;
  const [then = newest.hours] = foresight.hoursQuantiles(readMs, [0.5], null);
  const [soon = then] = foresight.hoursQuantiles(soonMs, [0.5], null);
  const use = changedPace * Math.max(0, soon - then);
  const comesNear = (due: Due) =>
    due.targetHours !== null && due.countedFrom === null && then + use >= due.targetHours + (due.toleranceHours ?? 0);
  const visit = prospect.visits.find(
    ({ kind, tasks, askOn, day }) =>
      kind === 'service' &&
      dayNumber(day) - moment.today > askAheadDays &&
      (askOn === null || askOn <= moment.day) &&
      prospect.dues.some((due) => tasks.includes(due.task) && comesNear(due)),
  );
  return visit === undefined ? null : { visit, readOn };
}
