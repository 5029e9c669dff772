import { addDays, type Day, startOfDay } from '../domain/day.js';
import type { Books } from '../ledger/books.js';
import { enterRuns } from '../ledger/enter-runs.js';
import type { Errand } from './errands.js';
import type { TrueHours } from './truth/true-hours.js';

/** What a run-time sensor tells of the days on which it is alive, when each of them is over: the true runs, and that it was
 *  alive all day. */
export function scriptedFeed(
  books: Books,
  machine: string,
  meter: TrueHours,
  days: ReadonlySet<Day>,
): readonly Errand[] {
  const { zone } = books.home().household;
  let seconds = 0;
  return [...days].sort().map((day) => {
    const fromMs = startOfDay(day, zone);
    const toMs = startOfDay(addDays(day, 1), zone);
    return {
      atMs: toMs,
      run: () => {
        const runs = meter.runsOn(day);
        seconds += runs.reduce((sum, run) => sum + (run.toMs - run.fromMs) / 1000, 0);
        enterRuns(books, machine, {
          runs,
          coverage: [{ fromMs, toMs }],
          total: { runSeconds: seconds, lastAtMs: toMs },
        });
      },
    };
  });
}
