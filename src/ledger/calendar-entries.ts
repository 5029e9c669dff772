import { type Day, dayMs, dayOf, daysBetween } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import {
  addCalendarEntry,
  calendarEntriesHeld,
  calendarEntriesOf,
  type StoredCalendarEntry,
} from '../store/facts/calendar-entries.js';
import type { Books } from './books.js';
import { installId } from './install-id.js';

/** Days by which a visit that was not announced must move before the calendar follows: forecasts tremble. */
const leastMoveDays = 2;

/** Calendar programs look every few hours or days: so long they are told that something is cancelled. */
const toldCancelledMs = 7 * dayMs;

/** What the calendar says of one visit. */
export interface CalendarEntry {
  /** The visit's id, and of which installation: two households may have machines of one name. */
  readonly uid: string;
  readonly visit: Visit;
  readonly day: Day;
  readonly sequence: number;
  readonly changedAtMs: number;
}

/** The visits ahead as the calendar says them, in the order given. A change of tasks or day is written down and counted up;
 *  asked again without one, the answer is the same. Nobody is told anything by it, so the facts' version stays. */
export function calendarEntries(books: Books, visits: readonly Visit[]): readonly CalendarEntry[] {
  const { store } = books;
  const install = installId(books);
  const today = dayOf(books.clock.nowMs(), books.home().household.zone);
  const ids = visits.map((visit) => visit.id);
  const said = calendarEntriesOf(store, ids);
  const isNews = (visit: Visit, before: StoredCalendarEntry | undefined) =>
    before === undefined || hasChanged(before, visit, today);
  const entries = !visits.some((visit) => isNews(visit, said.get(visit.id)))
    ? said
    : store.mark(() => {
        // Read again inside: another request may have been quicker.
        const now = new Map(calendarEntriesOf(store, ids));
        for (const visit of visits) {
          const before = now.get(visit.id);
          if (!isNews(visit, before)) continue;
          const entry = {
            sequence: before === undefined ? 0 : before.sequence + 1,
            day: visit.day,
            tasks: visit.tasks,
            changedAtMs: books.clock.nowMs(),
          };
          addCalendarEntry(store, visit.id, entry);
          now.set(visit.id, entry);
        }
        return now;
      });
  return visits.flatMap((visit) => {
    const entry = entries.get(visit.id);
    if (entry === undefined) return [];
    const { day, sequence, changedAtMs } = entry;
    return [{ uid: uidOf(visit.id, install), visit, day, sequence, changedAtMs }];
  });
}

/** A visit that the calendar showed ahead and that is planned no longer. */
export interface CancelledEntry extends Pick<CalendarEntry, 'uid' | 'day' | 'sequence' | 'changedAtMs'> {
  /** Null where its file is gone from the home folder. */
  readonly machine: Machine | null;
}

/** The visits that the calendar still shows on a day ahead and that are no longer planned: cancelled once, told for a week, then
 *  gone. Asked again, the answer is the same. */
export function cancelledEntries(books: Books, visits: readonly Visit[]): readonly CancelledEntry[] {
  const { store } = books;
  const { household, machines } = books.home();
  const nowMs = books.clock.nowMs();
  const planned = new Set(visits.map(({ id }) => id));
  const held = () =>
    [...calendarEntriesHeld(store, dayOf(nowMs, household.zone), nowMs - toldCancelledMs)].filter(
      ([id]) => !planned.has(id),
    );
  if (held().some(([, { tasks }]) => tasks.length > 0)) {
    store.mark(() => {
      for (const [id, { tasks, sequence, day }] of held()) {
        if (tasks.length > 0)
          addCalendarEntry(store, id, { sequence: sequence + 1, day, tasks: [], changedAtMs: nowMs });
      }
    });
  }
  const install = installId(books);
  return held().map(([id, { day, sequence, changedAtMs }]) => {
    // The longest: what begins with `hill-` may be of `hill-tractor`.
    const machine = machines.filter((one) => id.startsWith(`${one.id}-`)).sort((a, b) => b.id.length - a.id.length)[0];
    return { uid: uidOf(id, install), machine: machine ?? null, day, sequence, changedAtMs };
  });
}

function uidOf(visit: string, install: string): string {
  return `${visit}@${install}.shedbell.invalid`;
}

function hasChanged(before: StoredCalendarEntry, visit: Visit, today: Day): boolean {
  if (!sameTasks(before.tasks, visit.tasks)) return true;
  if (before.day === visit.day) return false;
  // A day that people were told stands in the calendar exactly; so does any once the day shown is past.
  return visit.announced || before.day < today || Math.abs(daysBetween(before.day, visit.day)) >= leastMoveDays;
}

function sameTasks(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && [...a].sort().join('\n') === [...b].sort().join('\n');
}
