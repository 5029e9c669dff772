import { dayOf } from '../domain/day.js';
import type { Door, ToldRun } from '../domain/facts.js';
import { believeRun } from '../hours/believe-run.js';
import { findEntry, noteEntry } from '../store/facts/entries.js';
import { addToldRun, findToldRun, toldRunsOf } from '../store/facts/told-runs.js';
import { momentFault } from './admit-reading.js';
import { type Books, machineCalled } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';

export interface ToldRunToEnter {
  readonly machine: string;
  /** Above 0, at most a day's. */
  readonly minutes: number;
  /** When it was told, or the run ended. */
  readonly atMs: number;
  readonly by: string | null;
  readonly door: Door;
  readonly key: string | null;
  /** A person looked again and says that so long a run is right. */
  readonly confirm?: boolean;
}

const minutesPerDay = 1440;

/** Enters "ran it about 40 minutes" for a machine without a meter. A run that is hard to believe is refused with run-questionable, and goes
 *  through once sent again with `confirm`. */
export function enterToldRun(
  books: Books,
  entry: ToldRunToEnter,
): { readonly kind: 'counted' | 'already'; readonly run: ToldRun } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const machine = machineCalled(books, entry.machine);
      const before = entry.key === null ? null : findEntry(store, entry.key);
      const told = before?.kind === 'told-run' ? findToldRun(store, before.fact) : null;
      // Other minutes under the same key are another run: a page that was gone back to.
      if (told !== null && !told.isVoided && told.machine === machine.id && told.run.minutes === entry.minutes)
        return { kind: 'already' as const, run: told.run };
      if (machine.meter.kind !== 'none') {
        throw refusal('machine-has-a-meter', `${machine.name} has an hour meter`, {
          place: machine.id,
          remedy: 'Enter what the meter shows.',
        });
      }
      if (!Number.isFinite(entry.minutes) || entry.minutes <= 0 || entry.minutes > minutesPerDay) {
        throw refusal('minutes-unreadable', 'This is no number of minutes that a run can last', {
          found: String(entry.minutes),
          remedy: 'Write minutes above 0, at most 1440.',
        });
      }
      const nowMs = books.clock.nowMs();
      const fault = momentFault(entry.atMs, nowMs);
      if (fault !== null) throw fault;
      const { zone } = books.home().household;
      const day = dayOf(entry.atMs, zone);
      const toldBefore = toldRunsOf(store, [machine.id]).get(machine.id) ?? [];
      const thatDay = toldBefore.filter((r) => dayOf(r.atMs, zone) === day);
      const sum = thatDay.reduce((minutes, run) => minutes + run.minutes, entry.minutes);
      if (sum > minutesPerDay) {
        throw refusal('more-than-a-day', 'The runs told for that day add up to more than 24 hours', {
          found: `${sum} min on ${day}`,
          remedy: 'Take back the one that is wrong, then enter this one.',
        });
      }
      const belief = believeRun(toldBefore, entry.minutes);
      if (belief.kind === 'questionable' && entry.confirm !== true) {
        throw refusal('run-questionable', belief.question, {
          place: 'minutes',
          found: String(entry.minutes),
          remedy: 'Look again. If it ran that long, confirm it.',
        });
      }
      const run: ToldRun = {
        id: store.newId('run'),
        atMs: Math.floor(entry.atMs),
        minutes: entry.minutes,
        by: entry.by,
      };
      addToldRun(store, { ...run, machine: machine.id, door: entry.door, enteredAtMs: nowMs });
      if (entry.key !== null) noteEntry(store, entry.key, 'told-run', run.id, nowMs);
      return { kind: 'counted' as const, run };
    }),
  );
}
