import type { Noticed, ServiceRecord } from '../domain/facts.js';
import { sayFinding } from '../words/finding.js';
import { sayNoticedSince, sayWhatItSawTo } from '../words/helped.js';
import { sayRecord, withHoursSaidNow } from '../words/record.js';
import { unbroken } from '../words/unbroken.js';
import { HelpedButtons, TakeBackHelped } from './did-it-help.js';
import { type Form, newFormKey } from './guard/form.js';
import { PaidForm, SpendingLine } from './paid-fields.js';
import { KeyField } from './pieces.js';
import type { Shown } from './shown.js';

/** Records shown on the machine's page; the logbook has the rest. */
const firstRecords = 5;

/** What was done on a machine, newest first; each record can be taken back. */
export function History({ shown }: { readonly shown: Shown }) {
  const records = newestFirst(shown.facts.records);
  return (
    <section>
      <h2>What was done</h2>
      {records.length === 0 ? <p>Nothing is on record yet.</p> : null}
      <ul class="tasks">
        {records.slice(0, firstRecords).map((record) => (
          <li>
            <RecordLines record={record} shown={shown} />
          </li>
        ))}
      </ul>
      <SpendingLine records={records} household={shown.household} />
      {records.length === 0 ? null : (
        <p>
          <a class="way" href={`/machines/${shown.machine.id}/logbook`}>
            {records.length <= firstRecords ? 'The logbook' : `The logbook, with all ${records.length} records`}
          </a>
        </p>
      )}
      <NoticedList shown={shown} />
    </section>
  );
}

/** Records by day, the newest first; of one day the last written down. */
export function newestFirst(records: readonly ServiceRecord[]): readonly ServiceRecord[] {
  return [...records].sort((a, b) => (a.day === b.day ? b.enteredAtMs - a.enteredAtMs : a.day < b.day ? 1 : -1));
}

/** What was noticed on a machine, and what became of it; nothing where nothing was. */
export function NoticedList({ shown }: { readonly shown: Shown }) {
  if (shown.facts.noticed.length === 0) return null;
  return (
    <>
      <h2 id="noticed">What was noticed</h2>
      <ul class="tasks">
        {shown.facts.noticed.map((noticed) => (
          <li>
            <NoticedLines noticed={noticed} shown={shown} />
          </li>
        ))}
      </ul>
    </>
  );
}

/** Something noticed, what became of it, and what still can. */
function NoticedLines({ noticed, shown }: { readonly noticed: Noticed; readonly shown: Shown }) {
  const { outlook, household } = shown;
  const machine = shown.machine.id;
  const isOpen = noticed.state === 'open';
  const last = noticed.helped.at(-1);
  return (
    <>
      <span>{noticed.text}</span>
      <span class="small">
        {sayNoticedSince(noticed, outlook.today, household.zone, household.locale)} ({noticed.id})
      </span>
      <details class="undo">
        <summary>{isOpen ? 'Seen to, or take it back' : 'Did it help? Or take it back'}</summary>
        {isOpen ? null : <HelpedButtons machine={machine} noticed={noticed} />}
        <form method="post" action={`/machines/${machine}/noticed/${noticed.id}`}>
          <KeyField value={newFormKey()} />
          <p class="acts column">
            <button class="act" type="submit" name="answer" value={isOpen ? 'seen-to' : 'open'}>
              {isOpen ? 'It is seen to' : 'It is not seen to yet'}
            </button>
            <button class="act" type="submit" name="answer" value="take-back">
              Take it back
            </button>
          </p>
        </form>
        {last === undefined ? null : <TakeBackHelped machine={machine} id={last.id} />}
      </details>
    </>
  );
}

interface RecordLinesProps {
  readonly record: ServiceRecord;
  readonly shown: Shown;
  /** What was typed of its cost, where that could not be taken. */
  readonly form?: Form | null;
}

/** One record in words, with its findings, what it cost, and the way to take it back. */
export function RecordLines({ record, shown, form = null }: RecordLinesProps) {
  const { machine, household, outlook, ahead } = shown;
  return (
    <>
      <span>
        {unbroken(
          sayRecord(withHoursSaidNow(record, ahead), machine, household.people, outlook.today, household.locale),
        )}
      </span>
      {record.findings.length === 0 ? null : (
        <ul class="findings">
          {record.findings.map((finding) => (
            <li>{unbroken(sayFinding(finding, shown.machine))}</li>
          ))}
        </ul>
      )}
      {sayWhatItSawTo(record, shown.facts.noticed).map((sentence) => (
        <span class="small">{sentence}</span>
      ))}
      <PaidForm record={record} household={household} form={form} />
      <details class="undo">
        <summary>Take it back</summary>
        <form method="post" action={`/records/${record.id}/undo`}>
          <KeyField value={newFormKey()} />
          <p class="small">The record stays in the books, struck out, and its tasks count as not done.</p>
          <button class="act" type="submit">
            Undo this record
          </button>
        </form>
      </details>
    </>
  );
}
