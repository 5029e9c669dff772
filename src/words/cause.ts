import { type Day, daysBetween } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import { sayCount, sayNumber } from './counts.js';
import { small } from './sentence.js';
import { sayTask } from './task.js';

/** From so many days on a stretch is told in weeks, from so many on in months. Common practice, no source. */
const weeksFromDays = 14;
const monthsFromDays = 70;

/** A visit as far as the reason of its day goes. */
export type CausedVisit = Pick<Visit, 'cause' | 'day' | 'due'>;

/** Why a visit's day lies past its limit or weeks before it, as a clause: `later than that because the parts take 10 days`,
 *  `three weeks early, to share the visit with spark plug`. Empty where the day needs no word, or is past itself.
 *  @param today  the household's day
 *  Source: common practice, no source. */
export function sayCause(visit: CausedVisit, machine: Pick<Machine, 'tasks'>, today: Day): string {
  if (visit.day < today) return '';
  const { cause } = visit;
  const early = daysBetween(visit.day, visit.due.p10);
  switch (cause.kind) {
    case 'on-time':
      return '';
    case 'parts':
      return cause.leadDays <= 0
        ? 'later than that because something is still to buy'
        : `later than that because what is missing takes ${sayCount(cause.leadDays, 'day')} to get`;
    case 'asked':
      return 'later than that because you asked for it';
    case 'next-chance':
      return visit.due.p50 <= today ? 'this is the next day to work on it' : 'no day to work on it comes before that';
    case 'last-chance':
      return `${sayStretch(early)} early, because the next day to work on it comes after its limit`;
    case 'rest':
      return 'later than that because it rests until then';
    case 'stored':
      return 'it waits for its return from storage';
    case 'shared': {
      const company = `to share the visit with “${small(sayTask(cause.task, machine))}”`;
      if (early > 0) return `${sayStretch(early)} early, ${company}`;
      const before = daysBetween(visit.day, visit.due.p50);
      return before > 0 ? `${sayStretch(before)} before the likeliest day, ${company}` : `later than that ${company}`;
    }
    case 'tolerated':
      return 'a little past that still counts as on time';
    case 'unsure':
      return `${sayStretch(early)} before that, because the hours may come sooner`;
    case 'wide':
      return `${sayStretch(daysBetween(visit.day, visit.due.p50))} before the likeliest day, because the hours may come sooner`;
  }
}

/** How long a stretch is, as people say it: `a day`, `12 days`, `three weeks`, `about four months`.
 *  @param days  whole, >= 0
 *  Source: common practice, no source. */
export function sayStretch(days: number): string {
  if (days === 1) return 'a day';
  if (days < weeksFromDays) return sayCount(Math.max(0, days), 'day');
  if (days < monthsFromDays) return `${sayNumber(days / 7)} weeks`;
  return `about ${sayNumber(days / 30.44)} months`;
}
