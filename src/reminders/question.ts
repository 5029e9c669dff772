import { type Day, dayMs, dayNumber, dayNumbered, endOfDay } from '../domain/day.js';
import { type Household, hears } from '../domain/household.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { laidUpOn } from '../forecast/in-storage.js';
import { nextWorkingDay } from '../visits/working-days.js';
import { cannotWait } from './cannot-wait.js';
import {
  askAheadDays,
  askBeforeWorkDays,
  askCost,
  askGapDays,
  feedFreshDays,
  readingAgeDays,
  weekDays,
} from './constants.js';
import { doubtedByAge } from './old-reading.js';
import type { Prospect } from './prospect.js';
import { callsToWork, dayNumberOf, grownGapDays, timesUnanswered } from './said.js';
import type { Moment } from './speaking-times.js';
import type { Wish } from './wish.js';
import { worthOfReading } from './worth-asking.js';

/** `reading`: asked when knowing the hours could change what is done on the coming working day, by enough to be worth a
 *  person's walk to the meter; so many days before that day that the answer comes in time: asked on the eve of the work, in
 *  place of the call, it would cost the weekend. A reading of many months ago is asked for anew where changed habits would bring work
 *  forward.
 *  @param isWorthIt  judges one task of one visit; a look ahead takes any for worth it
 *  Source: value of information, see `worthOfReading`. */
export function wishReading(
  prospect: Prospect,
  household: Household,
  moment: Moment,
  isWorthIt: (due: Due, workDay: Day) => number,
): Wish[] {
  const askers = household.people.filter((person) => hears(person, 'reading'));
  const workDay = mayAsk(prospect, household, moment);
  if (askers.length === 0 || workDay === null) return [];
  const best = questionsAbout(prospect, moment, workDay)
    .map(({ visit, due }) => ({ visit, due, worth: isWorthIt(due, workDay) }))
    .sort((a, b) => b.worth - a.worth)[0];
  const old = doubtedByAge(prospect, household, moment);
  const question =
    best !== undefined && best.worth > askCost
      ? { visit: best.visit, because: sayWhatWaits(best.due, best.visit, prospect) }
      : old !== null
        ? {
            visit: old.visit,
            because: `The meter was last read on ${old.readOn}; with much more use since then the work would come before ${old.visit.day}.`,
          }
        : null;
  if (question === null) return [];
  const { visit, because } = question;
  return askers.map((person) => ({
    person,
    how: moment.eveningOf === null ? 'ride' : 'start',
    notice: {
      kind: 'reading',
      to: person.id,
      machine: prospect.machine.id,
      visit: visit.id,
      tasks: visit.tasks,
      proposedDay: visit.day,
      because,
    },
  }));
}

/** Names the job: the visit may never have been spoken of before. */
function sayWhatWaits({ task }: Due, { day }: Visit, { machine }: Prospect): string {
  const title = machine.tasks.find(({ id }) => id === task)?.title;
  return `The hours decide whether ${title === undefined ? 'the work' : `“${title}”`} on ${day} can wait.`;
}

/** Whether there is anything to ask the machine's meter for.
 *  @param workDay  the working day that the answer would be for
 *  Source: definition. */
export function hasQuestion(prospect: Prospect, household: Household, moment: Moment, workDay: Day): boolean {
  return questionsAbout(prospect, moment, workDay).length > 0 || doubtedByAge(prospect, household, moment) !== null;
}

/** What a reading would save for one task, see `worthOfReading`.
 *  @param workDay  the coming working day
 *  Source: as `worthOfReading`. */
export function judgeReading(prospect: Prospect, household: Household, moment: Moment, due: Due, workDay: Day): number {
  if (prospect.foresight === null) return 0;
  const waitDay = nextWorkingDay(dayNumbered(dayNumber(workDay) + weekDays), household);
  return worthOfReading(due, prospect.foresight, moment.nowMs, endOfDay(waitDay, household.zone));
}

/** Whether the machine's meter may be asked about this evening at all.
 *  @returns the working day that the answer would be for; null where nobody may be asked
 *  Source: common practice, no source. */
export function mayAsk(prospect: Prospect, household: Household, moment: Moment): Day | null {
  const { machine, facts } = prospect;
  if (machine.meter.kind === 'none' || prospect.foresight === null || isFedNow(prospect, moment)) return null;
  // In storage no hours are added.
  if (laidUpOn(machine, facts, moment.day, household.zone) !== null) return null;
  const evening = moment.eveningOf ?? moment.today;
  const workDay = nextWorkingDay(dayNumbered(evening + askBeforeWorkDays.least), household);
  if (dayNumber(workDay) - evening > askBeforeWorkDays.most) return null;
  const { zone } = household;
  const readMs = Math.max(
    machine.meter.first?.atMs ?? Number.NEGATIVE_INFINITY,
    facts.readings.at(-1)?.atMs ?? Number.NEGATIVE_INFINITY,
  );
  if (Number.isFinite(readMs) && moment.today - dayNumberOf(readMs, zone) < readingAgeDays) return null;
  // Whoever was called to the machine today reads the meter there, and may say so tonight.
  if (facts.sent.some(({ kind, proposedDay }) => callsToWork.includes(kind) && proposedDay === moment.day)) return null;
  const questions = facts.sent.filter((notice) => notice.kind === 'reading');
  const asked = questions.at(-1);
  const gapDays = grownGapDays(askGapDays, timesUnanswered(questions, facts, zone));
  if (asked !== undefined && moment.today - dayNumberOf(asked.atMs, zone) < gapDays) return null;
  return workDay;
}

/** Tasks with an hours limit in visits within six weeks that an answer could move, left alone where somebody asked to be. A visit before the
 *  working day that the answer would be for is called to instead: an answer would come when its day is over.
 *  Source: common practice, no source. */
function questionsAbout(prospect: Prospect, moment: Moment, workDay: Day): { visit: Visit; due: Due }[] {
  const near = prospect.visits.filter(
    (visit) =>
      visit.kind === 'service' &&
      !cannotWait(visit, prospect.dues) &&
      visit.day >= workDay &&
      dayNumber(visit.day) - moment.today <= askAheadDays &&
      (visit.askOn === null || visit.askOn <= moment.day),
  );
  return near.flatMap((visit) =>
    prospect.dues
      .filter((due) => visit.tasks.includes(due.task) && due.targetHours !== null && due.intervalHours !== null)
      .map((due) => ({ visit, due })),
  );
}

function isFedNow({ machine, facts }: Prospect, moment: Moment): boolean {
  if (machine.feed === undefined) return false;
  const heardMs = Math.max(
    Number.NEGATIVE_INFINITY,
    facts.coverage.at(-1)?.toMs ?? Number.NEGATIVE_INFINITY,
    facts.feedTotal?.lastAtMs ?? Number.NEGATIVE_INFINITY,
  );
  return moment.nowMs - heardMs <= feedFreshDays * dayMs;
}
