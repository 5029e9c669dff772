import type { RequestHandler } from 'express';
import { drawHours, type HoursTarget } from '../charts/hours-over-time.js';
import { addDays, dayOf } from '../domain/day.js';
import { meterSince } from '../domain/machine.js';
import { openFindings } from '../domain/open-findings.js';
import type { Due } from '../domain/results/due.js';
import { sayAgo, sayDate } from '../words/dates.js';
import { sayLimit, sayWhichLimit } from '../words/due.js';
import { sayHours, sayHoursNow, sayReadHours } from '../words/hours.js';
import { sayHoursOnMeter } from '../words/hours-on-meter.js';
import { sayMachine, sayMachineFirst } from '../words/machine.js';
import { sayFoundOut } from '../words/open-finding.js';
import { sayReach } from '../words/reach.js';
import { sayTask } from '../words/task.js';
import { sayVisit, sayVisitTitle } from '../words/visit.js';
import { AnswersSection } from './answers-given.js';
import type { Assets } from './assets.js';
import { HelpQuestions } from './did-it-help.js';
import { Drifts } from './drifts.js';
import type { Given } from './given.js';
import { newFormKey } from './guard/form.js';
import { History } from './history.js';
import { EntryNotice, HoursSection, newestHours } from './hours-told.js';
import { Page, sendPage } from './layout.js';
import { Drawing, Figures, KeyField } from './pieces.js';
import { AsideQuestion } from './reading.js';
import { SensorLines } from './sensor-lines.js';
import { type Shown, showMachine } from './shown.js';
import { ToMend } from './to-mend.js';

/** Tasks shown before the rest is folded away. */
const firstTasks = 6;
/** Limits drawn across the chart: more would hide the hours. */
const mostTargets = 3;

const howToRead =
  'Points are readings, the line is the estimate, and the soft band holds the hours eight times out of ten; the dotted line is today. A level line is where a job comes due, a bar at the dates when that is likely, a small mark there a run.';

/** Shows all machines, each with its hours and what comes next. */
export function machinesPage(given: Given, assets: Assets): RequestHandler {
  return (_request, response) => {
    const outlook = given.latest();
    const { machines } = given.books.home();
    sendPage(
      response,
      200,
      <Page title="Machines" assets={assets}>
        <h1>{machines.length === 0 ? 'No machine is set up yet.' : 'The machines of this household.'}</h1>
        <ul class="ways">
          {machines.map((machine) => {
            const now = outlook.machines.find((one) => one.machine === machine.id)?.hoursNow ?? null;
            return (
              <li>
                <a class="way" href={`/machines/${machine.id}`}>
                  {machine.name}
                </a>
                <span class="small">
                  {machine.gone ? 'no longer here' : now === null ? 'hours not known yet' : sayHoursNow(now)}
                </span>
              </li>
            );
          })}
        </ul>
        {machines.every(({ gone }) => gone) ? null : (
          <p>
            <a class="way" href="/labels">
              Labels of all machines, to print
            </a>
          </p>
        )}
      </Page>,
    );
  };
}

/** Shows one machine: hours over time, next work, trends, history. 404 for an unknown one. */
export function machinePage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) =>
    sendPage(
      response,
      200,
      <MachineView
        given={given}
        shown={showMachine(given, request.params.id)}
        entry={request.query.entry}
        assets={assets}
      />,
    );
}

interface MachineProps {
  readonly given: Given;
  readonly shown: Shown;
  /** What was just entered or taken back, by the address. */
  readonly entry: unknown;
  readonly assets: Assets;
}

function MachineView({ given, shown, entry, assets }: MachineProps) {
  const { machine, facts, ahead, outlook, household } = shown;
  const visit = outlook.visits.find((one) => one.machine === machine.id);
  const dues = (ahead?.dues ?? []).filter((due) => due.limit !== 'use');
  const dated = dues.filter((due) => due.day !== null || due.unknownLast);
  const undated = dues.filter((due) => due.day === null && !due.unknownLast);
  return (
    <Page title={machine.name} assets={assets}>
      <EntryNotice given={given} shown={shown} id={entry} />
      <div class="beside">
        <div>
          <h1>{sayFirst(shown)}</h1>
          <p class="second">
            <Figures text={saySecond(shown)} />
          </p>
          <ToMend shown={shown} tasks={null} />
          <HelpQuestions given={given} shown={shown} />
          <SensorLines shown={shown} />
          <p class="acts">
            <a class="act main" href={`/machines/${machine.id}/reading`}>
              {machine.meter.kind === 'none' ? 'Enter a run' : 'Enter a reading'}
            </a>
            {visit === undefined ? null : (
              <a class="act" href={`/visits/${visit.id}/sheet`}>
                Open the sheet
              </a>
            )}
          </p>
          {facts.aside.map((aside) => (
            <AsideQuestion aside={aside} shown={shown} link={null} />
          ))}
          {ahead === null || ahead.doubt === null ? null : <p class="said">{ahead.doubt}</p>}
        </div>
        <Drawing svg={drawMachine(shown, dated)} caption={howToRead} />
      </div>
      <section>
        <h2>What comes next</h2>
        {visit === undefined ? (
          <p>Nothing is planned on {sayMachine(machine)} as far as can be seen.</p>
        ) : (
          <p>{sayVisit(visit, machine, outlook.today, household.locale)}</p>
        )}
        <ul class="tasks">
          {dated.slice(0, firstTasks).map((due) => (
            <TaskLine due={due} shown={shown} />
          ))}
        </ul>
        {dated.length + undated.length <= firstTasks ? null : (
          <details>
            <summary>All other tasks</summary>
            <ul class="tasks">
              {[...dated.slice(firstTasks), ...undated].map((due) => (
                <TaskLine due={due} shown={shown} />
              ))}
            </ul>
          </details>
        )}
      </section>
      <Drifts shown={shown} />
      <section>
        <h2>Tell it something</h2>
        <TellForms shown={shown} />
        <p>
          <a class="way" href={`/machines/${machine.id}/stock`}>
            Count what is at home
          </a>
        </p>
        <p>
          <a class="way" href={`/machines/${machine.id}/label`}>
            A label to hang up beside it
          </a>
        </p>
      </section>
      <HoursSection shown={shown} told={newestHours(given, shown)} />
      <History shown={shown} />
      <AnswersSection given={given} shown={shown} />
    </Page>
  );
}

function sayFirst({ machine, ahead }: Shown): string {
  if (machine.gone) return `${sayMachineFirst(machine)} is no longer here.`;
  const now = ahead?.hoursNow ?? null;
  if (now === null) return `Nobody has told yet how long ${sayMachine(machine)} has run.`;
  return `${sayMachineFirst(machine)} stands at about ${sayHours(now.p50)}.`;
}

function saySecond({ machine, ahead, outlook, household }: Shown): string {
  const said: string[] = [];
  const now = ahead?.hoursNow ?? null;
  if (now !== null && sayHoursNow(now).includes('(')) {
    said.push(`With eight chances in ten it is ${sayHours(now.p10)} to ${sayHours(now.p90)}.`);
  }
  const last = ahead?.lastReading ?? null;
  if (last !== null) {
    const day = dayOf(last.atMs, household.zone);
    const when = `${sayDate(day, outlook.today, household.locale)} (${sayAgo(day, outlook.today)})`;
    said.push(`${machine.meter.kind === 'none' ? 'Last told' : 'Last read'}: ${sayReadHours(last.hours)}, ${when}.`);
  }
  if (ahead?.hoursPerYear !== null && ahead?.hoursPerYear !== undefined) {
    said.push(`It runs about ${sayHours(ahead.hoursPerYear)} a year.`);
  }
  const { resting } = machine;
  if (
    resting !== undefined &&
    resting.from <= outlook.today &&
    (resting.until === undefined || resting.until >= outlook.today)
  ) {
    said.push(
      resting.until === undefined
        ? 'It rests, so nothing is said about it.'
        : `It rests until ${sayDate(resting.until, outlook.today, household.locale)}, so nothing is said about it.`,
    );
  }
  return said.join(' ');
}

function TaskLine({ due, shown }: { readonly due: Due; readonly shown: Shown }) {
  const { machine, outlook, household } = shown;
  const task = machine.tasks.find((one) => one.id === due.task);
  const limit = task === undefined ? '' : sayLimit(due, task, household);
  const which = sayWhichLimit(due, task, machine.meter);
  const finding = openFindings(machine, shown.facts).find((one) => one.task === due.task);
  return (
    <li>
      <strong>{sayTask(due.task, machine)}</strong>
      <span>
        {finding !== undefined
          ? `${sentence(sayFoundOut(finding, outlook.today, household.locale))}.`
          : due.unknownLast
            ? 'Nobody knows when it was last done.'
            : due.day === null
              ? 'No day can be named yet.'
              : `${sentence(sayReach(due.day, outlook.today, household.locale))}${which === '' ? '' : `; ${which}`}.`}
      </span>
      <span class="small">
        {limit === '' ? '' : `${sentence(limit)}. `}
        {due.lastDay === null
          ? ''
          : `Last done ${sayDate(due.lastDay, outlook.today, household.locale)}${due.lastHours === null ? '' : ` at ${due.countedFrom === null ? '' : 'about '}${sayHoursOnMeter(due.lastHours, machine.meter)}`}.`}
      </span>
      {due.day === null ? null : (
        <a
          class="way"
          href={`/machines/${machine.id}/why/${due.task}`}
          aria-label={`Why this date? ${sayTask(due.task, machine)}`}
        >
          Why this date?
        </a>
      )}
    </li>
  );
}

function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function drawMachine(shown: Shown, dues: readonly Due[]): string {
  const { machine, facts, ahead, outlook, household } = shown;
  if (ahead === null) return '';
  const fromMs = ahead.trace.atMs[0] ?? outlook.nowMs;
  const visit = outlook.visits.find((one) => one.machine === machine.id);
  const now = ahead.hoursNow;
  return drawHours({
    trace: ahead.trace,
    readings: facts.readings.filter((reading) => reading.atMs >= fromMs),
    runs: facts.runs,
    targets: findTargets(shown, dues),
    nowMs: outlook.nowMs,
    meterSinceMs: meterSince(machine.meter, outlook.nowMs),
    zone: household.zone,
    title: `Hours of ${sayMachine(machine)} over time`,
    description: [
      now === null ? 'The hours now are not known.' : `Now ${sayHoursNow(now)}.`,
      ...facts.readings
        .slice(-5)
        .map(
          (reading) =>
            `Read ${sayReadHours(reading.hours)} on ${sayDate(dayOf(reading.atMs, household.zone), outlook.today, household.locale)}.`,
        ),
      visit === undefined
        ? ''
        : `Next: ${sayVisitTitle(visit, machine)}, ${sayDate(visit.day, outlook.today, household.locale)}.`,
    ].join(' '),
    id: 'hours',
  });
}

/** The next limits in hours, tasks with the same limit together. */
function findTargets({ machine, ahead }: Shown, dues: readonly Due[]): readonly HoursTarget[] {
  // Limits passed long ago would only clutter the past: their tasks are listed below the drawing.
  const least = ahead?.hoursNow?.p10 ?? 0;
  const byHours = new Map<number, Due[]>();
  for (const due of dues) {
    if (due.targetHours === null || due.day === null || due.targetHours < least) continue;
    const hours = Math.round(due.targetHours);
    byHours.set(hours, [...(byHours.get(hours) ?? []), due]);
  }
  return [...byHours].slice(0, mostTargets).map(([hours, same]) => {
    const first = same[0];
    const more = same.length > 1 ? ` and ${same.length - 1} more` : '';
    return {
      hours,
      text: `${sayHours(hours)}: ${first === undefined ? '' : sayTask(first.task, machine)}${more}`,
      due: first?.day === null || first === undefined ? null : { from: first.day.p10, to: first.day.p90 },
    };
  });
}

function TellForms({ shown }: { readonly shown: Shown }) {
  const { machine, outlook } = shown;
  return (
    <>
      <details>
        <summary>I noticed something</summary>
        <form method="post" action={`/machines/${machine.id}/noticed`} data-waits="What was noticed">
          <KeyField value={newFormKey()} />
          <label>
            <span>What did you notice? It comes on the next bench sheet.</span>
            <textarea name="text" rows={3} required maxlength={500} />
          </label>
          <button class="act" type="submit">
            Write it down
          </button>
        </form>
      </details>
      <details>
        <summary>It has not been used</summary>
        <form method="post" action={`/machines/${machine.id}/not-used`} data-waits="A rest">
          <KeyField value={newFormKey()} />
          <label>
            <span>Not used since</span>
            <input type="date" name="since" required max={outlook.today} value={addDays(outlook.today, -7)} />
          </label>
          <button class="act" type="submit">
            Write it down
          </button>
        </form>
      </details>
    </>
  );
}
