import type { RequestHandler, Response } from 'express';
import { addDays, dayOf } from '../domain/day.js';
import type { ServiceRecord } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import { openFindings } from '../domain/open-findings.js';
import { visitAsAnnounced } from '../ledger/announce.js';
import { sayVisitChange, visitNoLongerPlanned } from '../words/change.js';
import { sayMinutes } from '../words/dates.js';
import { sayTask } from '../words/task.js';
import { sayVisit } from '../words/visit.js';
import type { Assets } from './assets.js';
import { confirmFromForm } from './confirm.js';
import { ConfirmFields, jobsToTick, ticksToBeginWith } from './confirm-fields.js';
import { DoneVisit } from './done-visit.js';
import { FluidFields, refusedFluid } from './fluids-used.js';
import type { Given } from './given.js';
import { type Form, newFormKey, readForm } from './guard/form.js';
import { leadOn } from './guard/sign-in.js';
import { RecordLines } from './history.js';
import { Page, sendPage } from './layout.js';
import { LeftOut, leftOutBy } from './left-out.js';
import { MovedVisit, visitsHolding } from './moved.js';
import { openPermit } from './open-permit.js';
import { PartlyDone } from './partly-done.js';
import { KeyField, Trouble, VisitHeading } from './pieces.js';
import { SeenFields, seenAt } from './seen-fields.js';
import { type SeenVisit, seeVisit } from './seen-visit.js';
import { ToMend } from './to-mend.js';
import { Sorry } from './trouble.js';
import { takeAnswer } from './visit-answers.js';

type TokenHandler = RequestHandler<{ token: string }>;

/** What a visit's link shows. It changes nothing: mail programs open links by themselves. */
export function visitLink(given: Given, assets: Assets): TokenHandler {
  return (request, response) => {
    const permit = openPermit(given, assets, response, request.params.token, 'visit');
    if (permit === null) return;
    const seen = seeVisit(given, permit.subject);
    sendVisit(given, assets, response, seen, { token: permit.token, person: permit.person }, null, null, 200);
  };
}

/** The tap that closes the loop; or an answer instead of it. */
export function answerVisitLink(given: Given, assets: Assets): TokenHandler {
  return (request, response) => {
    const permit = openPermit(given, assets, response, request.params.token, 'visit');
    if (permit === null) return;
    const link = { token: permit.token, person: permit.person };
    const form = readForm(request);
    const seen = seeVisit(given, permit.subject);
    if (seen.kind === 'partly' && form.text('go') === 'done') {
      const record = confirmFromForm(given, form, {
        visit: { id: permit.subject, machine: seen.shown.machine.id, tasks: seen.announced.tasks },
        shown: seen.shown,
        sheet: null,
        by: permit.person,
        door: 'link',
      });
      if (record instanceof Fault) return sendVisit(given, assets, response, seen, link, form, record, 400);
      return leadOn(given, request, response, `/records/${record.id}`);
    }
    if (seen.kind !== 'planned') {
      const record = confirmAllTheSame(given, form, seen, permit.subject, permit.person);
      if (record !== null) return leadOn(given, request, response, `/records/${record.id}`);
      return sendVisit(given, assets, response, seen, link, null, null, 200);
    }
    const outcome = form.text('go') === 'done' ? null : takeAnswer(given, form, seen, permit.person);
    if (outcome instanceof Fault) return sendVisit(given, assets, response, seen, link, form, outcome, 400);
    if (outcome === null) {
      const record = confirmFromForm(given, form, {
        visit: seen.visit,
        shown: seen.shown,
        sheet: null,
        by: permit.person,
        door: 'link',
      });
      if (record instanceof Fault) return sendVisit(given, assets, response, seen, link, form, record, 400);
      return leadOn(given, request, response, `/records/${record.id}`);
    }
    given.changed();
    leadOn(given, request, response, `/answered/${outcome.answer}`);
  };
}

/** Work that was confirmed on a page opened while its visit was still planned: the plan moved on, the work is done all the same.
 *  Only what was announced under that visit counts, and what was recorded since the page was opened stays as it is.
 *  @returns null where the form does not say when it was shown, or holds nothing that can be recorded */
function confirmAllTheSame(
  given: Given,
  form: Form,
  { shown }: SeenVisit,
  id: string,
  person: string,
): ServiceRecord | null {
  const announced = shown.facts.visits.find((visit) => visit.id === id);
  if (announced === undefined || form.text('go') !== 'done' || seenAt(form) === undefined) return null;
  const visit = { id, machine: shown.machine.id, tasks: announced.tasks };
  const record = confirmFromForm(given, form, { visit, shown, sheet: null, by: person, door: 'link' });
  return record instanceof Fault ? null : record;
}

/** An answer is about the tasks that the page showed. */
function SeenTasks({ tasks }: { readonly tasks: readonly string[] }) {
  return (
    <>
      {tasks.map((task) => (
        <input type="hidden" name="task" value={task} />
      ))}
    </>
  );
}

interface Link {
  readonly token: string;
  readonly person: string;
}

function sendVisit(
  given: Given,
  assets: Assets,
  response: Response,
  seen: SeenVisit,
  link: Link,
  form: Form | null,
  fault: Fault | null,
  status: number,
): void {
  const { shown } = seen;
  const { machine, outlook, household, facts } = shown;
  const name = household.people.find((person) => person.id === link.person)?.name ?? link.person;
  if (seen.kind === 'done') {
    sendPage(response, status, <DoneVisit seen={seen} assets={assets} />);
    return;
  }
  if (seen.kind === 'partly') {
    const nowMs = given.books.clock.nowMs();
    const page = <PartlyDone seen={seen} token={link.token} form={form} fault={fault} assets={assets} nowMs={nowMs} />;
    sendPage(response, status, page);
    return;
  }
  if (seen.kind === 'dropped') {
    const leftOut = leftOutBy(given, seen.announced, shown);
    if (leftOut !== null) {
      sendPage(response, 410, <LeftOut announced={seen.announced} by={leftOut} shown={shown} assets={assets} />);
      return;
    }
    const elsewhere = visitsHolding(seen.announced.tasks, shown);
    if (elsewhere.length > 0) {
      sendPage(response, 410, <MovedVisit visits={elsewhere} shown={shown} assets={assets} />);
      return;
    }
    sendPage(
      response,
      410,
      <Sorry assets={assets} heading="There is nothing to confirm any more." sentences={[visitNoLongerPlanned]} />,
    );
    return;
  }
  const { visit, records } = seen;
  const sent = facts.sent
    .filter((notice) => notice.visit === visit.id && notice.to === link.person && notice.proposedDay !== null)
    .flatMap(({ atMs }) => {
      const before = visitAsAnnounced(given.books, visit.id, atMs);
      return before === null ? [] : [{ ...before, saidOn: dayOf(atMs, household.zone) }];
    });
  // A link may be from any of the messages: the oldest that differs covers them all.
  const changed = sent
    .map((before) => ({ before, said: sayVisitChange(before, visit, machine, outlook.today, household.locale) }))
    .find(({ said }) => said.length > 0);
  const added = changed === undefined ? [] : visit.tasks.filter((task) => !changed.before.tasks.includes(task));
  const jobs = jobsToTick(visit.tasks, added, shown, 'link');
  const toMend = openFindings(machine, facts).map(({ task }) => task);
  const mending = visit.tasks.filter((task) => toMend.includes(task));
  const apart = mending.length < visit.tasks.length ? mending : [];
  const typed = (field: string) => form?.text(field) ?? '';
  const tomorrow = addDays(dayOf(given.books.clock.nowMs(), household.zone), 1);
  const page = (
    <Page title={`${machine.name} · done?`} assets={assets}>
      <VisitHeading sentence={sayVisit(visit, machine, outlook.today, household.locale)} />
      <p class="second">
        {name}, is it done? It takes about {sayMinutes(visit.minutes)}. Nothing is written down before you press the
        button.
      </p>
      {(changed?.said ?? []).map((sentence) => (
        <p class="said">{sentence}</p>
      ))}
      <ToMend shown={shown} tasks={visit.tasks} />
      {records.map((record) => (
        <div class="said">
          <p>Part of it is on record already:</p>
          <RecordLines record={record} shown={shown} />
        </div>
      ))}
      <p class="acts">
        <a class="act" href={`/visits/${visit.id}/sheet`}>
          Open the sheet
        </a>
      </p>
      <form method="post" action={`/v/${link.token}`} class="confirm">
        <KeyField value={form?.key ?? newFormKey()} />
        <SeenFields
          machine={machine.id}
          tasks={visit.tasks}
          atMs={(form === null ? undefined : seenAt(form)) ?? given.books.clock.nowMs()}
        />
        <Trouble
          fault={fault}
          shown={shown}
          field={fault === null ? null : refusedFluid(fault, visit.tasks, machine)}
        />
        <ConfirmFields
          tasks={jobs}
          ticked={form === null ? ticksToBeginWith(visit, jobs) : form.all('task')}
          today={outlook.today}
          hoursNow={shown.ahead?.hoursNow ?? null}
          hasMeter={machine.meter.kind === 'meter'}
          fault={fault}
          people={[]}
          currency={household.currency ?? null}
          typed={typed}
        />
        <FluidFields tasks={visit.tasks} machine={machine} typed={typed} units={household.units} />
        <button class="act main" type="submit" name="go" value="done">
          Yes, it is done
        </button>
      </form>
      <section>
        <h2>Not done</h2>
        <details open={form !== null && form.text('go') === 'ask-on'}>
          <summary>Ask me on another day</summary>
          <form method="post" action={`/v/${link.token}`}>
            <KeyField value={newFormKey()} />
            <SeenTasks tasks={visit.tasks} />
            <label>
              <span>Nothing is said before</span>
              <input type="date" name="askOn" required min={tomorrow} value={typed('askOn') || addDays(tomorrow, 6)} />
            </label>
            <button class="act" type="submit" name="go" value="ask-on">
              Ask me then
            </button>
          </form>
        </details>
        {visit.shopping.some((item) => item.toBuy > 0) ? (
          <details>
            <summary>I have the parts</summary>
            <form method="post" action={`/v/${link.token}`}>
              <KeyField value={newFormKey()} />
              <SeenTasks tasks={visit.tasks} />
              <p class="small">Everything on the list counts as being at home.</p>
              <button class="act" type="submit" name="go" value="have-parts">
                I have them all
              </button>
            </form>
          </details>
        ) : null}
        {apart.length === 0 ? null : (
          <details>
            <summary>What is to be mended: a visit of its own</summary>
            <form method="post" action={`/v/${link.token}`}>
              <KeyField value={newFormKey()} />
              <SeenTasks tasks={apart} />
              <p class="small">
                {apart.map((task) => sayTask(task, machine)).join(', ')}: in a visit without the rest.
              </p>
              <button class="act" type="submit" name="go" value="own-visit">
                Not with the rest
              </button>
            </form>
          </details>
        )}
        <details>
          <summary>Leave it out this time</summary>
          <form method="post" action={`/v/${link.token}`}>
            <KeyField value={newFormKey()} />
            <SeenTasks tasks={visit.tasks} />
            <p class="small">Its interval starts anew today, and no record is made.</p>
            <button class="act" type="submit" name="go" value="leave-out">
              Leave it out
            </button>
          </form>
        </details>
      </section>
    </Page>
  );
  sendPage(response, status, page);
}
