import type { Service } from '../daemon/wire.js';
import { type Day, endOfDay, hourMs, instantOf, parseTimeOfDay, startOfDay } from '../domain/day.js';
import { enterRuns } from '../ledger/enter-runs.js';
import type { Errand } from './errands.js';
import type { TrueHours } from './true-hours.js';

const nineOClock = parseTimeOfDay('09:00');

/** What a run-time sensor tells of the days on which it is alive: one run from 9 in the morning (earlier where it would
 *  not fit the day), told at the end of the day. */
export function scriptedFeed(
  service: Service,
  machine: string,
  meter: TrueHours,
  days: ReadonlySet<Day>,
): readonly Errand[] {
  const { books } = service;
  const { zone } = books.home().household;
  return [...days].sort().map((day) => ({
    atMs: endOfDay(day, zone),
    run: () => {
      const hours = meter.hoursOn(day);
      const dayEndMs = endOfDay(day, zone) + 1;
      const fromMs = Math.max(
        startOfDay(day, zone),
        Math.min(instantOf(day, nineOClock, zone), dayEndMs - hours * hourMs),
      );
      enterRuns(books, machine, {
        runs: hours > 0 ? [{ fromMs, toMs: Math.min(fromMs + hours * hourMs, dayEndMs) }] : [],
        coverage: [{ fromMs: startOfDay(day, zone), toMs: dayEndMs }],
      });
    },
  }));
}
