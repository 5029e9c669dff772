import type { Request, RequestHandler, Response } from 'express';
import { dayOf, parseInstant, timeOfDayAt } from '../domain/day.js';
import type { AsideReading, Door } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import type { Spread } from '../domain/results/due.js';
import { enterReading, readHoursText } from '../ledger/enter-reading.js';
import { enterToldRun } from '../ledger/enter-told-run.js';
import { sayAgo, sayDate } from '../words/dates.js';
import { sayDaysIn } from '../words/days-in.js';
import { sayHours, sayHoursNow, sayReadHours } from '../words/hours.js';
import { sayMachine } from '../words/machine.js';
import type { Assets } from './assets.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { type Form, newFormKey, readForm } from './guard/form.js';
import { leadOn } from './guard/sign-in.js';
import { Page, sendPage } from './layout.js';
import { Figures, KeyField, Trouble } from './pieces.js';
import { type Shown, showMachine } from './shown.js';

/** Who enters, by which door, and where the form is sent: the page itself or a signed link. */
export interface Entering {
  readonly action: string;
  readonly by: string | null;
  readonly door: Door;
}

/** Shows the form for a reading, the estimate filled in. 404 for an unknown machine. */
export function readingForm(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    sendReadingForm(given, assets, response, shown, fromPage(shown));
  };
}

/** Takes the reading from the form of the page: counted, asked about on the same page, or refused there with what was typed kept. */
export function takeReading(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    enterFromForm(given, assets, request, response, shown, fromPage(shown));
  };
}

function fromPage(shown: Shown): Entering {
  return { action: `/machines/${shown.machine.id}/reading`, by: null, door: 'page' };
}

/** Sends the empty form, whichever door it is for. */
export function sendReadingForm(
  given: Given,
  assets: Assets,
  response: Response,
  shown: Shown,
  entering: Entering,
): void {
  sendPage(
    response,
    200,
    <ReadingPage given={given} shown={shown} entering={entering} assets={assets} typed={null} fault={null} />,
  );
}

/** Enters what the form says; a refused entry shows the form again with what was typed. */
export function enterFromForm(
  given: Given,
  assets: Assets,
  request: Request,
  response: Response,
  shown: Shown,
  entering: Entering,
): void {
  const form = readForm(request);
  const name = shown.machine.meter.kind === 'none' ? 'minutes' : 'hours';
  const outcome =
    name === 'minutes' ? enterRun(given, form, shown, entering) : enterHours(given, form, shown, entering);
  if (outcome instanceof Fault) {
    const typed = { value: form.text(name), at: form.text('at'), filled: form.text('filled') };
    const page = (
      <ReadingPage given={given} shown={shown} entering={entering} assets={assets} typed={typed} fault={outcome} />
    );
    sendPage(response, 400, page);
    return;
  }
  given.changed();
  // A questionable one is asked about on the same page, which shows all that is kept aside.
  const next = outcome === 'aside' ? entering.action : `/machines/${shown.machine.id}?entry=${outcome.entry}`;
  leadOn(given, request, response, next);
}

/** What was written down, by its id. */
interface Entered {
  readonly entry: string;
}

function enterHours(given: Given, form: Form, shown: Shown, entering: Entering): Fault | Entered | 'aside' {
  try {
    const text = form.text('hours');
    // What this page filled in itself is no reading until somebody says that the meter shows just that.
    if (text !== '' && text === form.text('filled') && form.text('same') !== text) {
      throw pageFault({
        code: 'reading-as-filled',
        message: `${text} h is the estimate of this page`,
        remedy: 'If the meter shows just that, tick it below. Else type what it shows.',
      });
    }
    const entry = enterReading(given.books, {
      machine: shown.machine.id,
      hours: readHoursText(text),
      atMs: readAt(given, form, shown),
      by: entering.by,
      door: entering.door,
      confirm: false,
      key: form.key,
    });
    if (entry.kind === 'refused') return entry.fault;
    return entry.kind === 'aside' ? 'aside' : { entry: entry.reading.id };
  } catch (failure) {
    if (failure instanceof Fault) return failure;
    throw failure;
  }
}

function enterRun(given: Given, form: Form, shown: Shown, entering: Entering): Fault | Entered {
  try {
    const text = form.text('minutes');
    const minutes = Number(text);
    if (!/^\d{1,4}$/.test(text) || minutes < 1 || minutes > 1440) {
      throw pageFault({
        code: 'minutes-unreadable',
        message: 'These are not minutes of a run',
        found: JSON.stringify(text.slice(0, 20)),
        remedy: 'Write whole minutes from 1 to 1440, such as 40.',
      });
    }
    const entry = enterToldRun(given.books, {
      machine: shown.machine.id,
      minutes,
      atMs: readAt(given, form, shown),
      by: entering.by,
      door: entering.door,
      key: form.key,
      // Other minutes than those that were asked about are a new run to judge.
      confirm: form.text('confirm') === text,
    });
    if (entry.kind === 'refused') return entry.fault;
    return { entry: entry.run.id };
  } catch (failure) {
    if (failure instanceof Fault) return failure;
    throw failure;
  }
}

function readAt(given: Given, form: Form, shown: Shown): number {
  const text = form.text('at');
  return text === '' ? given.books.clock.nowMs() : parseInstant(text, shown.household.zone);
}

interface ReadingProps {
  readonly given: Given;
  readonly shown: Shown;
  readonly entering: Entering;
  readonly assets: Assets;
  readonly typed: { readonly value: string; readonly at: string; readonly filled: string } | null;
  readonly fault: Fault | null;
}

function ReadingPage({ given, shown, entering, assets, typed, fault }: ReadingProps) {
  const { machine, ahead, household } = shown;
  const told = machine.meter.kind === 'none';
  const estimate = ahead?.hoursNow ?? null;
  const filled = typed?.filled ?? (estimate === null ? '' : sayToFill(estimate));
  const others = given.books.home().machines.filter((one) => !one.gone && one.id !== machine.id);
  const nowMs = given.books.clock.nowMs();
  const latest = `${dayOf(nowMs, household.zone)}T${timeOfDayAt(nowMs, household.zone)}`;
  return (
    <Page title={`Reading · ${machine.name}`} assets={assets}>
      <h1>
        {told ? `How long did ${sayMachine(machine)} run?` : `What does the meter of ${sayMachine(machine)} show?`}
      </h1>
      <p class="second">
        <Figures text={sayBefore(shown)} />
      </p>
      {shown.facts.aside.map((aside) => (
        <AsideQuestion aside={aside} shown={shown} link={entering.door === 'link' ? entering.action : null} />
      ))}
      <Trouble fault={fault} shown={shown} />
      <form
        method="post"
        action={entering.action}
        class="reading"
        data-waits={`${told ? 'A run' : 'A reading'} of ${sayMachine(machine)}`}
      >
        <KeyField value={newFormKey()} />
        {told ? (
          <label>
            <span>Minutes, about</span>
            <input
              class="numeral"
              name="minutes"
              inputmode="numeric"
              autocomplete="off"
              required
              maxlength={4}
              value={typed?.value ?? ''}
            />
          </label>
        ) : (
          <>
            <label for="hours">Hours</label>
            <input
              id="hours"
              class="numeral"
              name="hours"
              inputmode="decimal"
              autocomplete="off"
              required
              maxlength={12}
              data-stepper="1"
              data-from={filled === '' ? undefined : filled}
              aria-describedby={estimate === null ? undefined : 'estimate'}
              value={typed?.value ?? filled}
            />
            <input type="hidden" name="filled" value={filled} />
            {estimate === null ? null : (
              <p class="small" id="estimate">
                About {sayHours(estimate.p50)} by the estimate. Make it what the meter shows.
              </p>
            )}
          </>
        )}
        {typed !== null && fault?.code === 'reading-as-filled' ? (
          <label class="step">
            <input type="checkbox" name="same" value={typed.value} />
            <span>The meter shows {typed.value} h</span>
          </label>
        ) : null}
        {typed !== null && fault?.code === 'run-questionable' ? (
          <label class="step">
            <input type="checkbox" name="confirm" value={typed.value} />
            <span>It ran {typed.value} minutes</span>
          </label>
        ) : null}
        <details open={typed !== null && typed.at !== ''}>
          <summary>{told ? 'It was not just now' : 'I read it earlier'}</summary>
          <label>
            <span>Day and time</span>
            <input type="datetime-local" name="at" max={latest} value={typed?.at ?? ''} />
          </label>
        </details>
        <button class="act main" type="submit">
          Write it down
        </button>
      </form>
      {others.length === 0 ? null : (
        <nav class="others" aria-label="Other machines">
          <h2>Another machine</h2>
          <ul class="ways">
            {others.map((one) => (
              <li>
                <a class="way" href={`/machines/${one.id}/reading`}>
                  {one.name}
                </a>
              </li>
            ))}
          </ul>
        </nav>
      )}
    </Page>
  );
}

function sayBefore({ ahead, outlook, household }: Shown): string {
  const last = ahead?.lastReading ?? null;
  const estimate = ahead?.hoursNow ?? null;
  const said: string[] = [];
  if (estimate !== null) said.push(`It should stand at ${sayHoursNow(estimate)}.`);
  if (last !== null) {
    const day = dayOf(last.atMs, household.zone);
    said.push(
      `Last read: ${sayReadHours(last.hours)}, ${sayDate(day, outlook.today, household.locale)} (${sayAgo(day, outlook.today)}).`,
    );
  }
  return said.length === 0 ? 'Nothing is known of its hours yet.' : said.join(' ');
}

interface AsideProps {
  readonly aside: AsideReading;
  readonly shown: Shown;
  /** The signed link that it is shown behind, which is all that its bearer may send to; null: the machine's own pages. */
  readonly link: string | null;
}

/** A reading that was kept aside, with its question and the ways to settle it. */
export function AsideQuestion({ aside, shown, link }: AsideProps) {
  return (
    <form class="said" method="post" action={link ?? `/machines/${shown.machine.id}/aside/${aside.id}`}>
      <KeyField value={newFormKey()} />
      {link === null ? null : <input type="hidden" name="aside" value={aside.id} />}
      <p>
        <strong>One question first.</strong> {sayDaysIn(aside.question, shown.outlook.today, shown.household.locale)}
      </p>
      <p class="acts column">
        <button class="act" type="submit" name="answer" value="right">
          {sayReadHours(aside.hours)} is right
        </button>
        {aside.suggestionHours === null ? null : (
          <button class="act" type="submit" name="answer" value="meant">
            It was {sayReadHours(aside.suggestionHours)}
          </button>
        )}
        <button class="act" type="submit" name="answer" value="drop">
          Forget it
        </button>
      </p>
    </form>
  );
}

/** The estimate as it stands in the field: whole hours, and tenths where it is as sure as that. */
function sayToFill({ p10, p50, p90 }: Spread<number>): string {
  return String(p90 - p10 < 1 ? Math.round(p50 * 10) / 10 : Math.round(p50));
}
