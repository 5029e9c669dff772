import { type Day, dayOf, startOfDay } from '../domain/day.js';
import type { Door } from '../domain/facts.js';
import { addNotUsed, notUsedOf } from '../store/facts/not-used.js';
import { type Books, machineCalled } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';

/** Enters "not used since that day": until now nothing ran. */
export function enterNotUsed(
  books: Books,
  entry: { readonly machine: string; readonly since: Day; readonly by: string | null; readonly door: Door },
): { readonly kind: 'entered'; readonly id: string } | { readonly kind: 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const machine = machineCalled(books, entry.machine);
      const { zone } = books.home().household;
      const nowMs = books.clock.nowMs();
      if (entry.since > dayOf(nowMs, zone)) {
        throw refusal('day-in-future', 'That day has not come yet', {
          found: entry.since,
          remedy: 'Write today or an earlier day.',
        });
      }
      const sinceMs = startOfDay(entry.since, zone);
      const known = notUsedOf(store, [machine.id]).get(machine.id) ?? [];
      if (known.some((told) => told.sinceMs <= sinceMs && told.toldAtMs >= nowMs)) return { kind: 'already' as const };
      const id = store.newId('not-used');
      addNotUsed(store, {
        id,
        machine: machine.id,
        sinceMs,
        toldAtMs: nowMs,
        door: entry.door,
        by: entry.by,
      });
      return { kind: 'entered' as const, id };
    }),
  );
}
