import { type Day, dayOf, earlierDay, parseDay } from '../domain/day.js';
import type { Door, Finding, MachineFacts, ServiceRecord } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import type { Machine } from '../domain/machine.js';
import { withMending } from '../domain/mending.js';
import { tasksLeftOut } from '../domain/open-findings.js';
import { broughtInVisit } from '../domain/visit-minutes.js';
import { gatherEvidence } from '../hours/evidence.js';
import { addAnswer } from '../store/facts/answers.js';
import { findEntry, noteEntry } from '../store/facts/entries.js';
import { addRecord, findRecord } from '../store/facts/records.js';
import { closeSheet } from '../store/facts/sheet-marks.js';
import { findVisit, revisionsOf } from '../store/facts/visits.js';
import { admitReading } from './admit-reading.js';
import { type Books, machineCalled } from './books.js';
import { ledgerErrors, orRefused, Refusal, refusal } from './errors.js';
import { hoursOnDay } from './hours-on-day.js';
import { checkAdjusted, judgeFindings } from './judge-findings.js';
import { judgedByCold } from './judged-by-cold.js';
import { factsOf } from './machine-facts.js';
import { momentOfDay } from './moment-of-day.js';
import { plainText } from './plain-text.js';
import { type PaidSaid, writePaid } from './say-paid.js';
import { useStock } from './stock.js';

/** What a person says was done. */
export interface Confirmation {
  readonly visit: { readonly id: string; readonly machine: string; readonly tasks: readonly string[] };
  /** Null: all of the visit's. */
  readonly tasks: readonly string[] | null;
  readonly day: Day;
  /** Meter hours as read; entered as a reading of that day too. Null: not told. */
  readonly hours: number | null;
  /** Where no hours are told: the estimate for this moment, if the caller has one; else the ledger makes its own. */
  readonly hoursEstimated?: number | null;
  /** Counts questionable hours. */
  readonly confirm?: boolean;
  readonly by: string | null;
  readonly door: Door;
  readonly note: string | null;
  readonly minutes: number | null;
  /** What was paid for it. Absent or null: nobody said. */
  readonly paid?: PaidSaid | null;
  readonly findings: readonly Finding[];
  /** Tasks found outside their limits and left so, to be mended in a visit of their own. Absent: none. */
  readonly ownVisit?: readonly string[];
  /** One per form shown: the same tasks under the same key are one record. */
  readonly key: string | null;
  /** When the form was shown: tells what was recorded meanwhile by somebody else from work that has come round again.
   *  Absent: a task of a visit counts once. */
  readonly seenAtMs?: number | undefined;
}

export type ConfirmationAnswer =
  | { readonly kind: 'recorded' | 'already'; readonly record: ServiceRecord }
  /** With code reading-questionable it goes through once sent again with `confirm`. */
  | { readonly kind: 'refused'; readonly fault: Fault };

/** Writes the record of a visit, or of some of its tasks, in one transaction: record, reading, findings, stock.
 *  Each task of a visit is recorded once, by whichever door: what was recorded before is left out, and where nothing is
 *  left over the earlier record is the answer (an amount paid that comes with it is said of that one). The visit is done when all its tasks are, open for the rest until then.
 *  A task found outside its limits and left so is not closed: the record holds its findings, not the task. The same where
 *  points were seen to or places found sound and the task itself is not ticked: it is partly done, and stays due. */
export function confirmVisit(books: Books, said: Confirmation): ConfirmationAnswer {
  return orRefused(() => books.store.write(() => confirm(books, said)));
}

function confirm(books: Books, said: Confirmation): ConfirmationAnswer {
  const { store } = books;
  const { household } = books.home();
  const nowMs = books.clock.nowMs();
  const machine = machineCalled(books, said.visit.machine);
  const before = said.key === null ? null : earlierUnderKey(books, said, said.key);
  if (before !== null) return { kind: 'already', record: before };
  const facts = factsOf(store, [machine.id], household.zone)[0];
  if (facts === undefined) throw refusal('machine-unknown', ledgerErrors['machine-unknown']);

  const asked = tasksAsked(books, machine, said);
  const holds = (record: ServiceRecord, task: string) =>
    record.tasks.includes(task) && isThisRound(record, said, said.visit.tasks.includes(task));
  const tasks = asked.filter((task) => !facts.records.some((record) => holds(record, task)));
  const [firstAsked] = asked;
  const earlier = facts.records.findLast((record) => firstAsked !== undefined && holds(record, firstAsked));
  if (tasks.length === 0 && earlier !== undefined)
    return { kind: 'already', record: paidBesides(books, earlier, said) };

  checkDay(machine, facts, said.day, nowMs, books);
  checkClosed(machine, tasks, asked);
  // Only a person at the machine knows it: an old paper, or a rehearsal, has nobody to ask.
  if (said.door === 'page' || said.door === 'link' || said.door === 'command')
    checkAdjusted(machine, tasks, said.findings);
  const rest = said.visit.tasks.filter((task) => !asked.includes(task));
  const judged = judgeFindings(judgedByCold(machine, books), asked, said.findings, household.units, rest);
  // What was begun and is not done is told of, unless it was done before in this visit.
  const begun = rest.filter(
    (task) => judged.findings.some((f) => f.task === task) && !facts.records.some((record) => holds(record, task)),
  );
  const told = [...tasks, ...begun];
  if (told.length === 0) throw nothingTicked();
  const findings = judged.findings.filter((f) => told.includes(f.task));
  // What was found outside its limits and left so is not done: the record tells of it, and the task stays open.
  const closed = tasks.filter((task) => !judged.leftOut.has(task));
  const ownVisit = said.ownVisit ?? [];
  checkOwnVisit(machine, ownVisit, judged.leftOut);
  const toldBefore =
    closed.length > 0 ? undefined : facts.records.findLast((r) => tellsTheSame(r, said, told, findings));
  if (toldBefore !== undefined) return { kind: 'already', record: paidBesides(books, toldBefore, said) };
  const note = plainText(said.note);
  if (said.minutes !== null && !(Number.isFinite(said.minutes) && said.minutes >= 0 && said.minutes <= 10_000)) {
    throw refusal('minutes-unreadable', 'This is no number of minutes that a visit can last', {
      found: String(said.minutes),
      remedy: 'Write minutes, or leave it empty.',
    });
  }
  const { reading, ...hours } = hoursOf(books, machine, facts, said, nowMs);
  const record: ServiceRecord = {
    id: store.newId('record'),
    machine: machine.id,
    visit: said.visit.id,
    tasks: closed,
    day: said.day,
    ...hours,
    by: said.by,
    door: said.door,
    note,
    minutes: said.minutes,
    findings,
    enteredAtMs: nowMs,
  };
  addRecord(store, record, reading);
  const apart = ownVisit.filter((task) => tasks.includes(task));
  if (apart.length > 0) addAnswer(store, machine.id, { kind: 'own-visit', tasks: apart, atMs: nowMs }, said.by);
  closeSheet(store, said.visit.id, nowMs);
  useStock(
    books,
    machine.id,
    withMending(machine, facts).tasks.filter((task) => closed.includes(task.id)),
    record,
    said.by,
  );
  if (said.key !== null) noteEntry(store, said.key, 'record', record.id, nowMs);
  return { kind: 'recorded', record: withPaid(books, record, said) };
}

/** What was on record before, with the amount that this confirmation tells. Its key is kept, so that the same form sent once more
 *  does not undo a correction made since. */
function paidBesides(books: Books, earlier: ServiceRecord, said: Confirmation): ServiceRecord {
  if ((said.paid ?? null) === null) return earlier;
  if (said.key !== null) noteEntry(books.store, said.key, 'record', earlier.id, books.clock.nowMs());
  return withPaid(books, earlier, said);
}

function withPaid(books: Books, record: ServiceRecord, { paid, by }: Confirmation): ServiceRecord {
  if (paid === undefined || paid === null) return record;
  return { ...record, paid: writePaid(books.store, record.id, paid, by, books.clock.nowMs()) };
}

/** Whether a record is of the work that is confirmed now, so that it need not be written again: of the same day, of the same
 *  visit, or entered since the form was shown. A visit that stayed open for one task can hold another that was done in it
 *  before and came round again: what stood on record when the form asked for it is another round.
 *  @param isPlanned the visit as it is now holds the task */
function isThisRound(record: ServiceRecord, { visit, day, seenAtMs }: Confirmation, isPlanned: boolean): boolean {
  if (record.visit !== visit.id && record.door === 'import') return false;
  if (record.day === day) return true;
  const isSeen = seenAtMs !== undefined && record.enteredAtMs < seenAtMs;
  if (seenAtMs !== undefined && !isSeen) return true;
  return record.visit === visit.id && !(isSeen && isPlanned && record.day < day);
}

/** Whether a record of this visit and day tells of nothing closed what is told now: the same findings of the same tasks. */
function tellsTheSame(
  record: ServiceRecord,
  { visit, day }: Confirmation,
  tasks: readonly string[],
  findings: readonly Finding[],
): boolean {
  if (record.visit !== visit.id || record.day !== day) return false;
  const saidOf = (all: readonly Finding[], task: string) =>
    JSON.stringify(all.filter((f) => f.task === task).map((f) => [f.measurement, f.place, f.found, f.left, f.note]));
  return tasks.every(
    (task) => !record.tasks.includes(task) && saidOf(record.findings, task) === saidOf(findings, task),
  );
}

/** The record that the same form made before. A key whose record was voided, or that comes with other work than then (a page
 *  that was gone back to), is open again. */
function earlierUnderKey(books: Books, said: Confirmation, key: string): ServiceRecord | null {
  const entry = findEntry(books.store, key);
  if (entry === null) return null;
  if (entry.kind !== 'record') {
    throw refusal('key-of-another-entry', 'This form was sent before as something else', {
      remedy: 'Open the page again and confirm it there.',
    });
  }
  const stored = findRecord(books.store, entry.fact);
  if (stored === null || stored.isVoided) return null;
  const { record } = stored;
  const isSame = record.machine === said.visit.machine && record.visit === said.visit.id;
  const told = [...record.tasks, ...tasksLeftOut(record)];
  return isSame && (said.tasks ?? said.visit.tasks).every((task) => told.includes(task)) ? record : null;
}

/** The tasks to record, each once, in the visit's order, what they bring behind them. What any revision of the visit held may be
 *  confirmed: an old link still works. */
function tasksAsked(books: Books, machine: Machine, said: Confirmation): readonly string[] {
  const stored = findVisit(books.store, said.visit.id);
  if (stored !== null && stored.machine !== said.visit.machine) {
    throw refusal('visit-of-another-machine', 'This visit is of another machine', {
      found: `${said.visit.id} is of ${stored.machine}`,
    });
  }
  const announced = revisionsOf(books.store, said.visit.id).flatMap((revision) => revision.tasks);
  const own = [...new Set([...said.visit.tasks, ...announced])];
  const held = [...own, ...broughtInVisit(own, machine.tasks)];
  const asked = new Set(
    said.tasks ?? [...said.visit.tasks, ...broughtInVisit(said.visit.tasks, machine.tasks, 'once')],
  );
  const stranger = [...asked].find((task) => !held.includes(task));
  if (stranger !== undefined) {
    throw refusal('task-not-in-visit', 'This visit holds no such task', {
      found: JSON.stringify(stranger.slice(0, 60)),
      remedy: `It holds: ${held.join(', ')}.`,
    });
  }
  if (asked.size === 0 && said.findings.length === 0) throw nothingTicked();
  return held.filter((task) => asked.has(task));
}

function nothingTicked(): Fault {
  return refusal('no-tasks', 'Nothing was ticked', { remedy: 'Tick what was done.' });
}

/** Only what was found outside its limits and left so waits for another visit. */
function checkOwnVisit(machine: Machine, ownVisit: readonly string[], leftOut: ReadonlySet<string>): void {
  const sound = ownVisit.find((id) => !leftOut.has(id));
  if (sound === undefined) return;
  const title = machine.tasks.find(({ id }) => id === sound)?.title ?? sound;
  throw refusal('own-visit-without-finding', `Nothing of “${title}” is left for another visit`, {
    place: sound,
    remedy: 'Write what was found outside its limits, without a value as left within them; or take “not today” away.',
  });
}

/** What leaves something open, such as wheels that were off, is not done until what closes it is: neither is ticked alone. */
function checkClosed(machine: Machine, tasks: readonly string[], ticked: readonly string[]): void {
  for (const opener of machine.tasks.filter(({ id }) => tasks.includes(id))) {
    for (const { task, at } of opener.leadsTo ?? []) {
      const closer = machine.tasks.find(({ id }) => id === task);
      if (at !== 'once' || closer === undefined || closer.every === 'use' || ticked.includes(task)) continue;
      throw refusal('closing-job-missing', `“${opener.title}” is not done without “${closer.title}”`, {
        remedy: `Tick both, or leave “${opener.title}” open.`,
      });
    }
  }
}

function checkDay(machine: Machine, facts: MachineFacts, text: string, nowMs: number, books: Books): void {
  const { zone } = books.home().household;
  const day = parseDay(text);
  const today = dayOf(nowMs, zone);
  if (day > today) {
    throw refusal('day-in-future', 'That day has not come yet', {
      found: day,
      remedy: `Write ${today} or an earlier day.`,
    });
  }
  const seen = [
    ...(machine.meter.kind === 'meter' && machine.meter.first !== undefined ? [machine.meter.first.atMs] : []),
    ...facts.readings.map((r) => r.atMs),
  ].map((atMs) => dayOf(atMs, zone));
  // A machine set up ahead of its day is here already where somebody works on it.
  const known = seen.reduce(earlierDay, earlierDay(machine.since, today));
  if (day < known) {
    throw refusal('day-before-machine', `${machine.name} was not known here on that day`, {
      found: day,
      remedy: `Write ${known} or a later day; older papers come in with an import.`,
    });
  }
}

function hoursOf(
  books: Books,
  machine: Machine,
  facts: MachineFacts,
  said: Confirmation,
  nowMs: number,
): Pick<ServiceRecord, 'hours' | 'hoursKnown'> & { readonly reading: string | null } {
  const { household } = books.home();
  if (said.hours === null) {
    const estimated = hoursOnDay(machine, facts, household, said.day, nowMs, said.hoursEstimated ?? null);
    return { ...estimated, reading: null };
  }
  const admission = admitReading(
    books,
    machine,
    {
      hours: said.hours,
      atMs: momentOfDay(said.day, said.hours, facts.readings, nowMs, household.zone),
      by: said.by,
      door: said.door,
      confirm: said.confirm === true,
      note: null,
    },
    gatherEvidence(machine, facts, household.hemisphere),
  );
  if (admission.kind === 'refused') throw new Refusal(admission.fault);
  if (admission.kind === 'questionable') {
    const meant = admission.suggestionHours === null ? '' : ` Did you mean ${admission.suggestionHours}?`;
    throw refusal('reading-questionable', admission.question, {
      place: 'hours',
      found: String(said.hours),
      remedy: `Look at the meter again.${meant} If it is right, confirm it.`,
    });
  }
  // A reading that stood there before goes on standing when this record is taken back.
  const isNew = admission.kind === 'counted';
  return { hours: said.hours, hoursKnown: 'read', reading: isNew ? admission.reading.id : null };
}
