import { addDays, addMonths, type Day, dayMs, dayOf, parseDay, startOfDay } from '../domain/day.js';
import type { Books } from '../ledger/books.js';
import { enterReading } from '../ledger/enter-reading.js';
import { baselinePolicy } from './baseline-turn.js';
import type { Errand } from './errands.js';
import type { PolicyAtWork, Rehearsed } from './policy.js';
import type { TrueHours } from './truth/true-hours.js';

const daysInYear = 365.25;
/** Further ahead no line is drawn. */
const farthestDays = 36_500;

interface MonthlyReading {
  readonly atMs: number;
  readonly hours: number;
}

/** A straight line through the last two of monthly readings, which somebody enters for free when a month begins. Until there
 *  are two, the expected hours a year are the slope; where nobody said any, only calendar limits count.
 *  Source: own design, to compare with. */
export function linePolicy({ service, truth, from, to }: Rehearsed): PolicyAtWork {
  const { books } = service;
  const { zone } = books.home().household;
  const read = new Map<string, readonly MonthlyReading[]>();
  for (const [machine, meter] of truth) {
    const atMs = startOfDay(from, zone);
    read.set(machine, [{ atMs, hours: meter.shows(atMs) }]);
  }
  const policy = baselinePolicy(books, (machine, { hours }) => {
    const [earlier, last] = (read.get(machine.id) ?? []).slice(-2);
    if (hours === null || earlier === undefined) return null;
    const newest = last ?? earlier;
    const perDay =
      last === undefined
        ? (machine.expect.hoursPerYear ?? 0) / daysInYear
        : (last.hours - earlier.hours) / ((last.atMs - earlier.atMs) / dayMs);
    const left = hours.targetHours - newest.hours;
    if (left > 0 && perDay <= 0) return null;
    const days = left <= 0 ? 0 : Math.min(farthestDays, Math.ceil(left / perDay));
    return addDays(dayOf(newest.atMs, zone), days);
  });
  const errands = [...truth].flatMap(([machine, meter]) =>
    monthStarts(from, to).map((day) =>
      readingErrand(books, machine, meter, startOfDay(day, zone), (reading) =>
        read.set(machine, [...(read.get(machine) ?? []), reading]),
      ),
    ),
  );
  return { policy, errands };
}

function readingErrand(
  books: Books,
  machine: string,
  meter: TrueHours,
  atMs: number,
  keep: (reading: MonthlyReading) => void,
): Errand {
  return {
    atMs,
    run: () => {
      const hours = meter.shows(atMs);
      enterReading(books, { machine, hours, atMs, by: null, door: 'rehearsal', confirm: true, key: null });
      keep({ atMs, hours });
    },
  };
}

/** The first days of the months after `from`, up to `to`. */
function monthStarts(from: Day, to: Day): Day[] {
  const starts: Day[] = [];
  for (let day = addMonths(parseDay(`${from.slice(0, 7)}-01`), 1); day <= to; day = addMonths(day, 1)) starts.push(day);
  return starts;
}
