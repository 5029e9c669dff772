import type { Door, ServiceRecord } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import { confirmVisit } from '../ledger/confirm-visit.js';
import { readHoursText } from '../ledger/enter-reading.js';
import { pageFault } from './errors.js';
import { readFluids } from './fluids-used.js';
import type { Given } from './given.js';
import { type Form, longestNote } from './guard/form.js';
import { askOutOfSeason } from './out-of-season.js';
import { readPaid } from './paid-fields.js';
import { notTodayOf, readFindings } from './read-findings.js';
import { seenAt } from './seen-fields.js';
import type { Shown } from './shown.js';

interface Confirming {
  readonly visit: Pick<Visit, 'id' | 'machine' | 'tasks'>;
  readonly shown: Shown;
  /** The sheet whose measurements the form holds; null where it holds none. */
  readonly sheet: Sheet | null;
  readonly by: string | null;
  readonly door: Door;
}

/** Hands a confirmation to the ledger, by whichever page it came.
 *  @returns the record, or what was wrong with an entry that a person can mend */
export function confirmFromForm(given: Given, form: Form, confirming: Confirming): ServiceRecord | Fault {
  const { visit, shown, sheet } = confirming;
  try {
    const ownVisit = sheet === null ? [] : notTodayOf(form, sheet);
    // What waits for another visit was looked at in this one.
    const tasks = [...new Set([...form.all('task'), ...ownVisit])];
    const told = readFluids(form, sheet?.visit.tasks ?? visit.tasks, shown.machine);
    const findings = sheet === null ? told : [...readFindings(form, sheet), ...told];
    if (tasks.length === 0 && findings.length === 0) {
      throw pageFault({
        code: 'nothing-ticked',
        message: 'Nothing is ticked, so nothing was written down',
        remedy: 'Tick what was done. If nothing was, leave the page.',
      });
    }
    const note = form.optional('note');
    if (note !== null && note.length > longestNote) {
      throw pageFault({
        code: 'text-too-long',
        message: `The note is longer than ${longestNote} letters`,
        remedy: 'Shorten it.',
      });
    }
    const day = form.day('day') ?? shown.outlook.today;
    const early = form.text('season') === 'yes' ? null : askOutOfSeason(tasks, day, shown);
    if (early !== null) return early;
    const confirmation = confirmVisit(given.books, {
      visit: { id: visit.id, machine: visit.machine, tasks: visit.tasks },
      tasks,
      day,
      hours: form.optional('hours') === null ? null : readHoursText(form.text('hours')),
      hoursEstimated: shown.ahead?.hoursNow?.p50 ?? null,
      confirm: form.text('sure') === 'yes',
      by: confirming.by,
      door: confirming.door,
      note,
      minutes: readMinutes(form),
      paid: readPaid(form, shown.household),
      findings,
      ownVisit,
      key: form.key,
      seenAtMs: seenAt(form),
    });
    if (confirmation.kind === 'refused') return confirmation.fault;
    if (confirmation.kind === 'recorded') given.changed();
    return confirmation.record;
  } catch (failure) {
    if (failure instanceof Fault) return failure;
    throw failure;
  }
}

function readMinutes(form: Form): number | null {
  const text = form.text('minutes');
  if (text === '') return null;
  const minutes = Number(text);
  if (!/^\d{1,4}$/.test(text) || minutes < 1) {
    throw pageFault({
      code: 'minutes-unreadable',
      message: 'These are not minutes',
      found: JSON.stringify(text.slice(0, 20)),
      remedy: 'Write whole minutes, such as 90, or leave it empty.',
    });
  }
  return minutes;
}
