import { didYouMean } from '../domain/closest-name.js';
import { type Day, dayOf, endOfDay, instantOf, minuteMs, parseInstant, parseTimeOfDay } from '../domain/day.js';
import type { MachineFacts, Paid, Reading, ServiceRecord } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import type { Machine } from '../domain/machine.js';
import { plainAmount } from '../domain/money.js';
import { estimateHours, type HoursEstimate } from '../hours/estimate.js';
import { type Evidence, gatherEvidence, withReading } from '../hours/evidence.js';
import { addRecord } from '../store/facts/records.js';
import { admitReading } from './admit-reading.js';
import { type Books, machineCalled } from './books.js';
import { refusal } from './errors.js';
import { hoursOnDay } from './hours-on-day.js';
import { factsOf } from './machine-facts.js';
import { momentOfDay } from './moment-of-day.js';
import { plainText } from './plain-text.js';
import { type PaidSaid, writePaid } from './say-paid.js';

/** A reading out of a file. `at` is an instant or a day as written, already seen to be one. */
interface ReadingRow {
  readonly line: number;
  readonly at: string;
  readonly hours: number;
  readonly note: string | null;
}

/** Work out of old papers. */
interface RecordRow {
  readonly line: number;
  readonly day: Day;
  readonly hours: number | null;
  readonly tasks: readonly string[];
  readonly note: string | null;
  /** Absent or null: the paper does not tell what it cost. */
  readonly paid?: PaidSaid | null;
}

export interface Import {
  readonly machine: string;
  /** Names the file in faults. */
  readonly file: string;
  readonly readings: readonly ReadingRow[];
  readonly records: readonly RecordRow[];
  readonly by: string | null;
  /** Goes through everything and undoes it again. */
  readonly dryRun: boolean;
  /** A person looked again: questionable rows count too. What is refused stays refused. */
  readonly confirm: boolean;
}

export type ImportAnswer =
  /** `already`: rows that were known before and count once; `amounts`: those of them that told what the work had cost, where nobody had
   *  (absent: none). */
  | {
      readonly kind: 'imported';
      readonly readings: number;
      readonly records: number;
      readonly already: number;
      readonly amounts?: number;
    }
  /** What is wrong, in the order of the rows; nothing was imported. `unseen`: rows not looked at, since so many were wrong already. */
  | { readonly kind: 'refused'; readonly faults: readonly Fault[]; readonly unseen: number };

/** Undoes the transaction that it leaves. */
class NotKept extends Error {
  readonly answer: ImportAnswer;

  constructor(answer: ImportAnswer) {
    super('not kept');
    this.answer = answer;
  }
}

/** Imports the rows of a file in one transaction: all of them, or none where one is wrong. Readings pass the same checks as
 *  typed ones, oldest first whatever their order; the same rows twice are one. */
export function importRows(books: Books, rows: Import): ImportAnswer {
  try {
    return books.store.write(() => {
      const answer = importAll(books, rows);
      if (rows.dryRun || answer.kind === 'refused') throw new NotKept(answer);
      return answer;
    });
  } catch (cause) {
    if (cause instanceof NotKept) return cause.answer;
    if (cause instanceof Fault && cause.code === 'machine-unknown')
      return { kind: 'refused', faults: [cause], unseen: 0 };
    throw cause;
  }
}

/** A file with so many wrong rows is the wrong file, or for the wrong machine. Finding out what each was meant to be takes time, and nobody
 *  else can write meanwhile. */
const mostFaults = 20;

function importAll(books: Books, rows: Import): ImportAnswer {
  const machine = machineCalled(books, rows.machine);
  const faults: { line: number; fault: Fault }[] = [];
  const known = new Known(books, machine);
  let [readings, records, already, amounts] = [0, 0, 0, 0];
  const inTime = inOrder(books, rows.readings);
  // Work with its hours comes first: what it says of the meter tells the hours of the rest.
  const byDay = [...rows.records].sort(
    (a, b) =>
      Number(a.hours === null) - Number(b.hours === null) || (a.day < b.day ? -1 : a.day > b.day ? 1 : a.line - b.line),
  );
  for (const row of inTime) {
    if (faults.length >= mostFaults) break;
    const outcome = importReading(books, machine, known, rows, row);
    if (outcome instanceof Fault) faults.push({ line: row.line, fault: outcome });
    else if (outcome === null) already += 1;
    else readings += 1;
  }
  for (const row of byDay) {
    if (faults.length >= mostFaults) break;
    const outcome = importRecord(books, machine, known, rows, row);
    if (outcome instanceof Fault) faults.push({ line: row.line, fault: outcome });
    else if (outcome === 'recorded') records += 1;
    else {
      already += 1;
      if (outcome === 'paid') amounts += 1;
    }
  }
  if (faults.length > 0) {
    const unseen = inTime.length + byDay.length - readings - records - already - faults.length;
    return { kind: 'refused', faults: faults.sort((a, b) => a.line - b.line).map((f) => f.fault), unseen };
  }
  return { kind: 'imported', readings, records, already, ...(amounts === 0 ? {} : { amounts }) };
}

/** What is known of the machine as the rows come in: read from the store once, since a file may hold thousands. */
class Known {
  facts: MachineFacts;
  evidence: Evidence;
  private readonly machine: Machine;
  private readonly nowMs: number;
  private estimated: { readonly estimate: HoursEstimate | null } | null = null;

  constructor(books: Books, machine: Machine) {
    const { zone, hemisphere } = books.home().household;
    const facts = factsOf(books.store, [machine.id], zone)[0];
    if (facts === undefined) throw refusal('machine-unknown', 'There is no such machine');
    this.machine = machine;
    this.nowMs = books.clock.nowMs();
    this.facts = facts;
    this.evidence = gatherEvidence(machine, facts, hemisphere);
  }

  addReading(reading: Reading): void {
    const { meter } = this.machine;
    this.evidence = withReading(this.evidence, meter.kind === 'meter' ? meter.changes : [], reading);
    const readings = [...this.facts.readings];
    readings.splice(readings.findLastIndex((r) => r.atMs <= reading.atMs) + 1, 0, reading);
    this.facts = { ...this.facts, readings };
    this.estimated = null;
  }

  addRecord(record: ServiceRecord): void {
    this.facts = { ...this.facts, records: [...this.facts.records, record] };
  }

  putPaid(id: string, paid: Paid): void {
    const records = this.facts.records.map((record) => (record.id === id ? { ...record, paid } : record));
    this.facts = { ...this.facts, records };
  }

  estimate(): HoursEstimate | null {
    this.estimated ??= { estimate: estimateHours(this.evidence, this.nowMs) };
    return this.estimated.estimate;
  }
}

/** A bare day is taken as of this time: the middle of the day is the least wrong. Several of one day follow by the minute. */
const middleOfDay = parseTimeOfDay('12:00');

function inOrder(books: Books, rows: readonly ReadingRow[]): readonly (ReadingRow & { readonly atMs: number })[] {
  const { zone } = books.home().household;
  const nowMs = books.clock.nowMs();
  const today = dayOf(nowMs, zone);
  const ofDay = new Map<string, number>();
  return [...rows]
    .sort((a, b) => a.hours - b.hours || a.line - b.line)
    .map((row) => {
      if (!/^\d{4}-\d{2}-\d{2}$/.test(row.at)) return { ...row, atMs: parseInstant(row.at, zone) };
      const day = dayOf(parseInstant(row.at, zone), zone);
      const before = ofDay.get(day) ?? 0;
      ofDay.set(day, before + 1);
      const atMs = instantOf(day, middleOfDay, zone) + before * minuteMs;
      return { ...row, atMs: Math.min(atMs, endOfDay(day, zone), day === today ? nowMs : Number.POSITIVE_INFINITY) };
    })
    .sort((a, b) => a.atMs - b.atMs || a.hours - b.hours || a.line - b.line);
}

/** @returns the reading, null where it was known before, or why it cannot be */
function importReading(
  books: Books,
  machine: Machine,
  known: Known,
  rows: Import,
  row: ReadingRow & { readonly atMs: number },
): Reading | null | Fault {
  const place = `${rows.file}:${row.line}:1`;
  try {
    const admission = admitReading(
      books,
      machine,
      {
        hours: row.hours,
        atMs: row.atMs,
        by: rows.by,
        door: 'import',
        confirm: rows.confirm,
        note: plainText(row.note),
      },
      known.evidence,
    );
    if (admission.kind === 'refused') return placed(admission.fault, place);
    if (admission.kind !== 'questionable') {
      if (admission.kind === 'already') return null;
      known.addReading(admission.reading);
      return admission.reading;
    }
    const meant = admission.suggestionHours === null ? '' : ` Perhaps it was ${admission.suggestionHours}.`;
    return refusal('row-questionable', admission.question, {
      place,
      found: String(row.hours),
      remedy: `Correct the row.${meant} If it is right, import the file with --confirm: questionable rows count then too.`,
    });
  } catch (cause) {
    if (cause instanceof Fault && cause.retry === 'no') return placed(cause, place);
    throw cause;
  }
}

/** @returns `already` where it was known before, `paid` where only what it had cost was new, or why it cannot be */
function importRecord(
  books: Books,
  machine: Machine,
  known: Known,
  rows: Import,
  row: RecordRow,
): 'recorded' | 'already' | 'paid' | Fault {
  const { store } = books;
  const { household } = books.home();
  const place = `${rows.file}:${row.line}:1`;
  const nowMs = books.clock.nowMs();
  const stranger = row.tasks.find((task) => !machine.tasks.some((t) => t.id === task));
  if (stranger !== undefined) {
    return refusal('row-task-unknown', `${machine.name} has no such task`, {
      place,
      found: JSON.stringify(stranger.slice(0, 60)),
      remedy: didYouMean(
        stranger,
        machine.tasks.map((task) => task.id),
      ),
    });
  }
  if (row.day > dayOf(nowMs, household.zone)) {
    return refusal('day-in-future', 'That day has not come yet', { place, found: row.day, remedy: 'Correct the day.' });
  }
  const { facts } = known;
  const tasks = [...new Set(row.tasks)];
  const before = facts.records.find((r) => r.day === row.day && tasks.every((task) => r.tasks.includes(task)));
  if (before !== undefined) return importPaid(books, known, rows, row, before);
  let reading: string | null = null;
  let hours: Pick<ServiceRecord, 'hours' | 'hoursKnown'>;
  if (row.hours === null) {
    hours = hoursOnDay(machine, facts, household, row.day, nowMs, null, () => known.estimate());
  } else {
    const atMs = momentOfDay(row.day, row.hours, facts.readings, nowMs, household.zone);
    const entry = { line: row.line, at: row.day, hours: row.hours, note: null, atMs };
    const outcome = importReading(books, machine, known, rows, entry);
    if (outcome instanceof Fault) return outcome;
    reading = outcome?.id ?? null;
    hours = { hours: row.hours, hoursKnown: 'read' };
  }
  const record: ServiceRecord = {
    id: store.newId('record'),
    machine: machine.id,
    visit: null,
    tasks,
    day: row.day,
    ...hours,
    by: rows.by,
    door: 'import',
    note: plainText(row.note),
    minutes: null,
    findings: [],
    enteredAtMs: nowMs,
  };
  addRecord(store, record, reading);
  const paid = row.paid ?? null;
  known.addRecord(paid === null ? record : { ...record, paid: writePaid(store, record.id, paid, rows.by, nowMs) });
  return 'recorded';
}

/** What a row tells of the cost of work that was known before: new where nobody had said it. Another amount than the one on record
 *  may be older than a correction, so a person has to say which is right. */
function importPaid(
  books: Books,
  known: Known,
  rows: Import,
  row: RecordRow,
  before: ServiceRecord,
): 'already' | 'paid' | Fault {
  const paid = row.paid ?? null;
  if (paid === null) return 'already';
  if (before.paid === undefined) {
    known.putPaid(before.id, writePaid(books.store, before.id, paid, rows.by, books.clock.nowMs()));
    return 'paid';
  }
  const { money } = before.paid;
  if (money.currency === paid.money.currency && plainAmount(money) === plainAmount(paid.money)) return 'already';
  return refusal('row-paid-otherwise', `${before.id} is on record with another amount paid`, {
    place: `${rows.file}:${row.line}:1`,
    found: `${plainAmount(paid.money)} ${paid.money.currency}`,
    remedy: `On record is ${plainAmount(money)} ${money.currency}. Correct the row, or the record in the logbook of the machine.`,
  });
}

function placed(fault: Fault, place: string): Fault {
  return new Fault({
    code: fault.code,
    message: fault.message,
    place,
    found: fault.found,
    remedy: fault.remedy,
    retry: fault.retry,
    cause: fault,
  });
}
