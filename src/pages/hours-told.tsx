import type { RequestHandler } from 'express';
import { dayOf, timeOfDayAt } from '../domain/day.js';
import type { HoursEntry } from '../domain/facts.js';
import { type HoursTold, hoursEntry, hoursTold, questionsAnsweredBy, recordsTelling } from '../ledger/told.js';
import { voidReading } from '../ledger/void-reading.js';
import { sayDate } from '../words/dates.js';
import { sayReadHours } from '../words/hours.js';
import { sayHoursEntry } from '../words/hours-entry.js';
import { sayMachine } from '../words/machine.js';
import { capital } from '../words/sentence.js';
import type { Assets } from './assets.js';
import { HelpedNotice } from './did-it-help.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { newFormKey, readForm } from './guard/form.js';
import { Page, sendPage } from './layout.js';
import { KeyField, wayToMachine } from './pieces.js';
import { type Shown, showMachine } from './shown.js';

/** Entries on the machine's page; the rest has a page of its own. */
const firstEntries = 4;
const entriesOnPage = 40;

/** The newest of what was told, for the machine's page. */
export function newestHours(given: Given, shown: Shown): HoursTold {
  return hoursTold(given.books, shown.machine.id, { from: 0, most: firstEntries });
}

/** What was told of a machine's hours, newest first; each can be taken back and stays in the list, struck out. */
export function HoursSection({ shown, told }: { readonly shown: Shown; readonly told: HoursTold }) {
  const { machine } = shown;
  return (
    <section>
      <h2>{machine.meter.kind === 'none' ? 'What was told of its hours' : 'What was read'}</h2>
      {told.entries.length === 0 ? <p>Nothing was entered yet.</p> : null}
      <HoursList shown={shown} told={told} />
      {told.goesOn ? (
        <p>
          <a class="way" href={`/machines/${machine.id}/hours`}>
            Everything before that
          </a>
        </p>
      ) : null}
    </section>
  );
}

/** The whole list, a page at a time. */
export function hoursPage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    const { machine } = shown;
    const asked = typeof request.query.page === 'string' ? request.query.page : '';
    const number = /^[1-9]\d{0,4}$/.test(asked) ? Number(asked) : 1;
    const told = hoursTold(given.books, machine.id, { from: (number - 1) * entriesOnPage, most: entriesOnPage });
    sendPage(
      response,
      200,
      <Page title={`Hours · ${machine.name}`} up={wayToMachine(machine)} assets={assets}>
        <h1>What was told of the hours of {sayMachine(machine)}.</h1>
        {told.entries.length === 0 ? <p>Nothing was entered here.</p> : null}
        <HoursList shown={shown} told={told} />
        <p class="acts">
          {number === 1 ? null : (
            <a class="act" href={`/machines/${machine.id}/hours?page=${number - 1}`}>
              Newer
            </a>
          )}
          {told.goesOn ? (
            <a class="act" href={`/machines/${machine.id}/hours?page=${number + 1}`}>
              Older
            </a>
          ) : null}
        </p>
      </Page>,
    );
  };
}

function HoursList({ shown, told }: { readonly shown: Shown; readonly told: HoursTold }) {
  return (
    <ul class="tasks">
      {told.entries.map((entry) => (
        <li>
          <EntryLines entry={entry} shown={shown} />
        </li>
      ))}
      {told.goesOn ? null : <FirstValue shown={shown} />}
    </ul>
  );
}

/** The first value is the configuration's: it is changed there. */
function FirstValue({ shown }: { readonly shown: Shown }) {
  const { machine, outlook, household } = shown;
  if (machine.meter.kind === 'none' || machine.meter.first === undefined) return null;
  const { hours, atMs, about } = machine.meter.first;
  const day = sayDate(dayOf(atMs, household.zone), outlook.today, household.locale);
  return (
    <li>
      <span>
        {about ? 'About ' : ''}
        {sayReadHours(hours)}, {day}
      </span>
      <span class="small">
        The first meter value, from machines/{machine.id}.yaml. If it is wrong, change it there.
      </span>
    </li>
  );
}

function EntryLines({ entry, shown }: { readonly entry: HoursEntry; readonly shown: Shown }) {
  const { household, outlook } = shown;
  const said = capital(sayHoursEntry(entry, outlook.today, household.zone, household.locale));
  const by = household.people.find((person) => person.id === entry.by)?.name;
  const from = entry.door === 'feed' ? 'by its sensor' : entry.door === 'import' ? 'imported' : by && `by ${by}`;
  // The id as it is typed after `shedbell undo`.
  const name = from ? `${capital(from)}, ${entry.id}` : entry.id;
  if (entry.takenBackAtMs !== null) {
    const day = sayDate(dayOf(entry.takenBackAtMs, household.zone), outlook.today, household.locale);
    return (
      <>
        <s>{said}</s>
        <span class="small">
          Taken back {day} ({name}).
        </span>
      </>
    );
  }
  return (
    <>
      <span>{said}</span>
      <span class="small">{name}</span>
      <TakeBack entry={entry} shown={shown} />
    </>
  );
}

/** The way to take an entry back; a reading that came with a record leads there. */
function TakeBack({ entry, shown }: { readonly entry: HoursEntry; readonly shown: Shown }) {
  if (entry.kind === 'reading' && entry.record !== null) {
    return (
      <span class="small">
        It came with <a href={`/records/${entry.record}`}>{entry.record}</a> and is taken back with it.
      </span>
    );
  }
  return (
    <details class="undo">
      <summary>Take it back</summary>
      <form method="post" action={`/machines/${shown.machine.id}/hours/${entry.id}/undo`}>
        <KeyField value={newFormKey()} />
        <p class="small">It stays in the list, struck out, and no longer counts.</p>
        <button class="act" type="submit">
          Take it back
        </button>
      </form>
    </details>
  );
}

/** Takes back a reading, a run or "not used"; twice is once. */
export function undoHours(given: Given): RequestHandler<{ id: string; entry: string }> {
  return (request, response) => {
    readForm(request);
    const { machine } = showMachine(given, request.params.id);
    const entry = hoursEntry(given.books, request.params.entry);
    if (entry === null || entry.machine !== machine.id) {
      throw pageFault({
        code: 'entry-unknown',
        message: `Nothing of that name was entered for ${sayMachine(machine)}`,
        remedy: 'Look at the page of the machine.',
      });
    }
    const outcome = voidReading(given.books, entry.id, null);
    if (outcome.kind === 'refused') throw outcome.fault;
    if (outcome.kind === 'voided') given.changed();
    response.redirect(303, `/machines/${machine.id}?entry=${entry.id}`);
  };
}

/** What was just written down or taken back, told by the books and not by the address: the address only names it. */
export function EntryNotice({
  given,
  shown,
  id,
}: {
  readonly given: Given;
  readonly shown: Shown;
  readonly id: unknown;
}) {
  if (typeof id !== 'string') return null;
  const noticed = shown.facts.noticed.find((one) => one.id === id);
  if (noticed !== undefined) {
    return (
      <div class="said" role="status">
        <p>
          <strong>Written down:</strong> “{noticed.text}”{/[.!?]$/.test(noticed.text) ? '' : '.'} It comes on the next
          bench sheet.
        </p>
        <form class="undo" method="post" action={`/machines/${shown.machine.id}/noticed/${noticed.id}`}>
          <KeyField value={newFormKey()} />
          <button class="act" type="submit" name="answer" value="take-back">
            Take it back
          </button>
        </form>
      </div>
    );
  }
  if (/^helped-\d{1,15}$/.test(id)) return <HelpedNotice given={given} shown={shown} id={id} />;
  const entry = /^(reading|run|not-used)-\d{1,15}$/.test(id) ? hoursEntry(given.books, id) : null;
  if (entry === null || entry.machine !== shown.machine.id) return null;
  const { household, outlook } = shown;
  const said = sayHoursEntry(entry, outlook.today, household.zone, household.locale);
  if (entry.takenBackAtMs !== null) {
    const at = timeOfDayAt(entry.takenBackAtMs, household.zone);
    const day = sayDate(dayOf(entry.takenBackAtMs, household.zone), outlook.today, household.locale);
    return (
      <div class="said" role="status">
        <p>
          <strong>Taken back:</strong> {said}. Since {day} at {at} it no longer counts.
        </p>
        {recordsTelling(given.books, entry).map((record) => (
          <p>
            <a href={`/records/${record}`}>{record}</a> tells the same hours. If they are wrong there too, take it back
            and write the work down anew.
          </p>
        ))}
      </div>
    );
  }
  return (
    <div class="said" role="status">
      <p>
        <strong>Written down:</strong> {said}.
      </p>
      {questionsAnsweredBy(given.books, entry.id).map((hours) => (
        <p>It answers the question about {sayReadHours(hours)}, which is closed.</p>
      ))}
      <TakeBack entry={entry} shown={shown} />
    </div>
  );
}
