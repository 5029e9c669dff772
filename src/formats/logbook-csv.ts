import { dayOf, formatInstant } from '../domain/day.js';
import { type Facts, type MachineFacts, noFacts } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import { plainAmount } from '../domain/money.js';
import { usedUpBy } from '../domain/used-up.js';
import { sayUsedUp } from '../words/used-up.js';
import { csvLine } from './csv-write.js';

const columns = [
  'machine',
  'kind',
  'id',
  'day',
  'at',
  'hours',
  'hours_known',
  'minutes',
  'tasks',
  'measurement',
  'place',
  'found',
  'left',
  'verdict',
  'by',
  'note',
  'used',
] as const;
/** At the end, where prices are entered here or an amount is on record. */
const paidColumns = ['paid', 'currency', 'paid_for'] as const;
type Cells = Partial<Record<(typeof columns)[number] | (typeof paidColumns)[number], string | number | null>>;

/** Readings, told runs, records, findings and what was noticed, of all machines, as one CSV table; one row each, by kind and then by time.
 *  `used` is what the plan says that the work uses up, `paid` what the person said that it cost, with a decimal point.
 *  @param besides  machines whose file was taken away, to stand behind the others
 *  @returns text with CRLF line ends; the first line names the columns; no formula gets through to a spreadsheet
 *  Source: RFC 4180. */
export function writeLogbookCsv(
  home: Home,
  facts: Facts,
  besides?: { readonly formerly: readonly MachineFacts[] },
): string {
  const rows = [
    ...home.machines.flatMap((machine) =>
      rowsOf(machine, facts.machines.find((m) => m.machine === machine.id) ?? noFacts(machine.id), home),
    ),
    ...(besides?.formerly ?? []).flatMap((machine) => rowsOf({ tasks: [] }, machine, home)),
  ];
  const isPriced = home.household.currency !== undefined || rows.some(({ currency }) => currency !== undefined);
  const shown = isPriced ? [...columns, ...paidColumns] : columns;
  return [csvLine(shown), ...rows.map((cells) => csvLine(shown.map((column) => cells[column] ?? null)))].join('');
}

function rowsOf(plan: Pick<Machine, 'tasks'>, facts: MachineFacts, home: Home): Cells[] {
  const { zone } = home.household;
  const { machine } = facts;
  const when = (atMs: number) => ({ day: dayOf(atMs, zone), at: formatInstant(atMs) });
  return [
    ...facts.readings.map(
      (r): Cells => ({
        machine,
        kind: 'reading',
        id: r.id,
        ...when(r.atMs),
        hours: r.hours,
        hours_known: r.about ? 'about' : 'read',
        by: r.by,
      }),
    ),
    ...facts.aside.map(
      (r): Cells => ({
        machine,
        kind: 'reading kept aside',
        id: r.id,
        ...when(r.atMs),
        hours: r.hours,
        by: r.by,
        note: r.question,
      }),
    ),
    ...facts.toldRuns.map(
      (r): Cells => ({ machine, kind: 'told run', id: r.id, ...when(r.atMs), minutes: r.minutes, by: r.by }),
    ),
    ...facts.records.flatMap((record): Cells[] => [
      {
        machine,
        kind: 'record',
        id: record.id,
        day: record.day,
        hours: record.hours === null ? null : Math.round(record.hours * 100) / 100,
        hours_known: record.hoursKnown,
        minutes: record.minutes,
        tasks: record.tasks.join(' '),
        by: record.by,
        note: record.note,
        used: sayUsedUp(usedUpBy(record, plan)),
        ...(record.paid === undefined
          ? {}
          : {
              paid: plainAmount(record.paid.money),
              currency: record.paid.money.currency,
              paid_for: record.paid.what,
            }),
      },
      ...record.findings.map(
        (f): Cells => ({
          machine,
          kind: 'finding',
          id: record.id,
          day: record.day,
          tasks: f.task,
          measurement: f.measurement,
          place: f.place,
          found: f.found,
          left: f.left,
          verdict: f.verdict,
          by: record.by,
          note: f.note,
        }),
      ),
    ]),
    ...facts.noticed.flatMap((n): Cells[] => [
      { machine, kind: 'noticed', id: n.id, ...when(n.atMs), note: n.text },
      ...(n.seenTo === null ? [] : [{ machine, kind: 'seen to', id: n.id, ...when(n.seenTo.atMs), note: n.text }]),
      ...n.helped.map(
        (h): Cells => ({
          machine,
          kind: 'whether it helped',
          id: n.id,
          ...when(h.atMs),
          found: h.answer.replace('-', ' '),
          by: h.by,
          note: n.text,
        }),
      ),
    ]),
  ];
}
