import { dayOf } from '../domain/day.js';
import type { HoursEntry } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Books } from '../ledger/books.js';
import { voidNoticed } from '../ledger/enter-noticed.js';
import { dropAside } from '../ledger/enter-reading.js';
import { voidHelped } from '../ledger/say-helped.js';
import { voidPaid } from '../ledger/say-paid.js';
import { recordsTelling } from '../ledger/told.js';
import { voidAnswer } from '../ledger/void-answer.js';
import { voidReading } from '../ledger/void-reading.js';
import { voidRecord } from '../ledger/void-record.js';
import { sayHoursEntry } from '../words/hours-entry.js';
import type { At } from './at.js';
import { withService } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';

/** `shedbell undo ID`: what was entered is voided, never deleted: a record, a reading, a run, "not used", an answer, what was
 *  noticed, whether it helped, what was paid, or the question about a reading. */
export function runUndo(at: At, id: string, out: Output): Promise<number> {
  return withService(at, ({ books }, home) => {
    const answer = takeBack(books, home, id);
    if (answer.kind === 'refused') {
      const isUnknown = answer.fault.code.endsWith('-unknown');
      out.error(isUnknown ? `${answer.fault.line} ${whatIdsLookLike}` : answer.fault.line);
      return exitStatus.badInput;
    }
    for (const line of answer.lines) out.line(line);
    return exitStatus.fine;
  });
}

const whatIdsLookLike =
  'Ids look like record-4, reading-7, run-2 or answer-3: shedbell export and the page of the machine show them.';

type TakenBack =
  | { readonly kind: 'said'; readonly lines: readonly string[] }
  | Extract<ReturnType<typeof voidRecord>, { kind: 'refused' }>;

/** The id says what it is of. */
function takeBack(books: Books, home: Home, id: string): TakenBack {
  if (/^(reading|run|not-used)-\d+$/.test(id)) {
    const answer = voidReading(books, id, null);
    if (answer.kind === 'refused') return answer;
    if (answer.kind === 'already') return said(`${id} was taken back before.`);
    return said(`${id} is taken back: ${sayEntry(books, home, answer.entry)}. It no longer counts.`, [
      ...recordsTelling(books, answer.entry).map(
        (record) =>
          `${record} tells the same hours: if they are wrong there too, shedbell undo ${record}, and say it anew.`,
      ),
    ]);
  }
  if (/^answer-\d+$/.test(id)) {
    const answer = voidAnswer(books, id, null);
    if (answer.kind === 'refused') return answer;
    return said(
      answer.kind === 'voided' ? `${id} is taken back: it no longer counts.` : `${id} was taken back before.`,
    );
  }
  if (/^aside-\d+$/.test(id)) {
    const answer = dropAside(books, id, null);
    if (answer.kind === 'refused') return answer;
    return said(answer.kind === 'dropped' ? `${id} is forgotten.` : `${id} was settled before.`);
  }
  if (/^noticed-\d+$/.test(id)) {
    const answer = voidNoticed(books, id, null);
    if (answer.kind === 'refused') return answer;
    return said(answer.kind === 'voided' ? `${id} is taken back.` : `${id} was taken back before.`);
  }
  if (/^helped-\d+$/.test(id)) {
    const answer = voidHelped(books, id, null);
    if (answer.kind === 'refused') return answer;
    return said(answer.kind === 'voided' ? `${id} is taken back.` : `${id} was taken back before.`);
  }
  if (/^paid-\d+$/.test(id)) {
    const answer = voidPaid(books, id, null);
    if (answer.kind === 'refused') return answer;
    return said(answer.kind === 'voided' ? `${id} is taken back: it is in no sum.` : `${id} was taken back before.`);
  }
  const machine = home.machines.find((one) => one.id === id);
  if (machine !== undefined) throw new BadInput(sayFirstValue(machine.id));
  const answer = voidRecord(books, id, null);
  if (answer.kind === 'refused') return answer;
  return said(answer.kind === 'voided' ? `${id} is voided; its tasks are due as before.` : `${id} was voided before.`);
}

function said(line: string, more: readonly string[] = []): TakenBack {
  return { kind: 'said', lines: [line, ...more] };
}

function sayEntry(books: Books, { household }: Home, entry: HoursEntry): string {
  return sayHoursEntry(entry, dayOf(books.clock.nowMs(), household.zone), household.zone, household.locale);
}

/** What the owner wrote in the configuration is theirs to change. */
function sayFirstValue(machine: string): string {
  return `${machine} is a machine. Its first meter value is written in machines/${machine}.yaml: change it there. What was entered since has an id such as reading-7: shedbell export and the page of the machine show them.`;
}
