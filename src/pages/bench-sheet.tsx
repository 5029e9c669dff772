import type { RequestHandler, Response } from 'express';
import { drawQrCode } from '../charts/qr-code.js';
import type { Noticed } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import { addressElsewhere } from '../domain/page-address.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import { answerNoticed } from '../ledger/enter-noticed.js';
import { sheetOf } from '../outlook/sheet-of.js';
import { sayDate, sayMinutes } from '../words/dates.js';
import { sayMachine } from '../words/machine.js';
import { sayItem, sayToBuy } from '../words/shopping.js';
import { sayVisit } from '../words/visit.js';
import type { Assets } from './assets.js';
import { confirmFromForm } from './confirm.js';
import { ConfirmFields, jobsToTick, ticksToBeginWith } from './confirm-fields.js';
import { DoneVisit } from './done-visit.js';
import type { Given } from './given.js';
import { type Form, newFormKey, readForm } from './guard/form.js';
import { heldVisit } from './held-visit.js';
import { Page, sendPage } from './layout.js';
import { LeftOut, leftOutBy } from './left-out.js';
import { MovedVisit, visitsHolding } from './moved.js';
import { Drawing, Figures, KeyField, Trouble } from './pieces.js';
import { SeenFields, seenAt } from './seen-fields.js';
import { seeVisit } from './seen-visit.js';
import { SheetLines } from './sheet-lines.js';
import type { Shown } from './shown.js';
import { ToMend } from './to-mend.js';
import { Sorry } from './trouble.js';

export function benchSheetPage(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const seen = seeVisit(given, request.params.id);
    if (seen.kind !== 'planned') return sendNoSheet(given, assets, response, request.params.id);
    const sheet = sheetOf(given.books.home(), given.facts(), seen.visit);
    sendPage(
      response,
      200,
      <BenchSheet
        shown={seen.shown}
        visit={seen.visit}
        sheet={sheet}
        assets={assets}
        form={null}
        fault={null}
        nowMs={given.books.clock.nowMs()}
      />,
    );
  };
}

/** Takes the whole sheet. The first button of the form, which Enter in any field presses, only looks it over. */
export function confirmSheet(given: Given, assets: Assets): RequestHandler<{ id: string }> {
  return (request, response) => {
    const form = readForm(request);
    const held = heldVisit(given, request.params.id, form);
    if (held === null) return sendNoSheet(given, assets, response, request.params.id);
    const { shown, visit } = held;
    const sheet = sheetOf(given.books.home(), given.facts(), visit);
    const again = (status: number, fault: Fault | null) =>
      sendPage(
        response,
        status,
        <BenchSheet
          shown={shown}
          visit={visit}
          sheet={sheet}
          assets={assets}
          form={form}
          fault={fault}
          nowMs={given.books.clock.nowMs()}
        />,
      );
    if (form.text('go') === 'look') return again(200, null);
    const outcome = confirmFromForm(given, form, {
      visit,
      shown,
      sheet,
      by: knownPerson(form.optional('by'), shown),
      door: 'page',
    });
    if (outcome instanceof Fault) return again(400, outcome);
    if (settleSeenTo(given, form, shown)) given.changed();
    response.redirect(303, `/records/${outcome.id}`);
  };
}

/** Only people of the household stand in the books by id. */
export function knownPerson(id: string | null, { household }: Shown): string | null {
  return household.people.some((person) => person.id === id) ? id : null;
}

function sendNoSheet(given: Given, assets: Assets, response: Response, id: string): void {
  const seen = seeVisit(given, id);
  if (seen.kind === 'done' || seen.kind === 'partly') {
    sendPage(response, 200, <DoneVisit seen={seen} assets={assets} />);
    return;
  }
  const leftOut = seen.kind === 'dropped' ? leftOutBy(given, seen.announced, seen.shown) : null;
  if (seen.kind === 'dropped' && leftOut !== null) {
    sendPage(response, 410, <LeftOut announced={seen.announced} by={leftOut} shown={seen.shown} assets={assets} />);
    return;
  }
  const elsewhere = seen.kind === 'dropped' ? visitsHolding(seen.announced.tasks, seen.shown) : [];
  if (elsewhere.length > 0) {
    sendPage(response, 410, <MovedVisit visits={elsewhere} shown={seen.shown} assets={assets} />);
    return;
  }
  sendPage(
    response,
    410,
    <Sorry
      assets={assets}
      heading="This visit is no longer planned."
      sentences={['What it was for is not due any more.']}
    />,
  );
}

/** What was noticed and is seen to now, as ticked on the sheet.
 *  @returns whether anything was */
function settleSeenTo(given: Given, form: Form, shown: Shown): boolean {
  const { facts, machine } = shown;
  const by = knownPerson(form.optional('by'), shown);
  const seenTo = facts.noticed.filter((one) => one.state === 'open' && form.all('seen-to').includes(one.id));
  for (const { id } of seenTo) {
    const outcome = answerNoticed(given.books, id, by);
    if (outcome.kind === 'refused') given.log.warn({ machine: machine.id, code: outcome.fault.code }, 'not seen to');
  }
  return seenTo.length > 0;
}

/** Ticks for what was noticed between visits: seen to, it leaves the sheet. */
function SeenToTicks({
  noticed,
  ticked,
}: {
  readonly noticed: readonly Noticed[];
  readonly ticked: readonly string[];
}) {
  if (noticed.length === 0) return null;
  return (
    <fieldset class="ticks">
      <legend>What was noticed. Tick what is seen to; the rest comes on the next sheet again.</legend>
      {noticed.map(({ id, text }) => (
        <label class="step">
          <input type="checkbox" name="seen-to" value={id} checked={ticked.includes(id)} />
          <span>{text}</span>
        </label>
      ))}
    </fieldset>
  );
}

/** On paper only: the way back to this page by phone, where the page has an address that other devices can open. */
function WayBack({ address, visit }: { readonly address: string | null; readonly visit: string }) {
  if (address === null) return null;
  const page = `${address}/visits/${visit}/sheet`;
  return (
    <div class="way-back paper-only">
      <Drawing svg={drawQrCode(page, 'The address of this sheet')} />
      <p class="small">This sheet on a phone, to write down what was done.</p>
    </div>
  );
}

interface SheetProps {
  readonly shown: Shown;
  readonly visit: Visit;
  readonly sheet: Sheet | null;
  readonly assets: Assets;
  readonly form: Form | null;
  readonly fault: Fault | null;
  readonly nowMs: number;
}

function BenchSheet({ shown, visit, sheet, assets, form, fault, nowMs }: SheetProps) {
  const { machine, outlook, household } = shown;
  const typed = (name: string) => form?.text(name) ?? '';
  const toBuy = visit.shopping.filter((item) => item.toBuy > 0);
  const open = shown.facts.noticed.filter((one) => one.state === 'open');
  const jobs = jobsToTick(visit.tasks, [], shown);
  const atHome = visit.shopping.filter((item) => item.toBuy <= 0);
  return (
    <Page title={`Sheet · ${machine.name}`} assets={assets}>
      <article class="sheet">
        <WayBack address={addressElsewhere(household)} visit={visit.id} />
        {fault === null ? null : (
          <p class="said">
            <a class="way" href="#confirm">
              Not taken: see why, at the end
            </a>
          </p>
        )}
        <h1>{sayVisit(visit, machine, outlook.today, household.locale)}</h1>
        <p class="second">
          <Figures text={`About ${sayMinutes(sheet?.minutes ?? visit.minutes)} of work.`} />{' '}
          {visit.buyBy === null
            ? ''
            : `Order what is missing by ${sayDate(visit.buyBy, outlook.today, household.locale)}.`}
        </p>
        <p class="acts">
          <a class="act" href="#confirm">
            All done? To the end
          </a>
        </p>
        <ToMend shown={shown} tasks={visit.tasks} />
        {(sheet?.head ?? []).map((sentence) => (
          <p class="said">{sentence}</p>
        ))}
        {sheet === null ? null : <p class="small">{sheet.comesFirst}</p>}
        {sheet === null || sheet.cautions.length === 0 ? null : (
          <section class="worst">
            <h2>The worst dangers</h2>
            <ul class="plain">
              {sheet.cautions.map((caution) => (
                <li>
                  <b>{caution.signal}</b>: {caution.short}
                </li>
              ))}
            </ul>
            <p class="small">Each stands in full above the first step that it is about.</p>
          </section>
        )}
        {toBuy.length === 0 ? null : (
          <section>
            <h2>To buy</h2>
            <ul class="plain">
              {toBuy.map((item) => (
                <li>{sayToBuy(item, household.units)}</li>
              ))}
            </ul>
          </section>
        )}
        {atHome.length === 0 ? null : (
          <section>
            <h2>Have at hand</h2>
            <ul class="plain">
              {atHome.map((item) => (
                <li>{sayItem(item, household.units)}</li>
              ))}
            </ul>
          </section>
        )}
        {sheet === null || sheet.tools.length === 0 ? null : (
          <section>
            <h2>Tools</h2>
            <p>{sheet.tools.join(', ')}</p>
          </section>
        )}
        {sheet === null || sheet.noticed.length === 0 ? null : (
          <section>
            <h2>Noticed since the last visit</h2>
            <ul class="plain">
              {sheet.noticed.map((text) => (
                <li>{text}</li>
              ))}
            </ul>
          </section>
        )}
        <form
          method="post"
          // The answer opens at what is to be read first: the end, where it says what was not taken.
          action={`/visits/${visit.id}/sheet#confirm`}
          data-sheet={visit.id}
          data-waits={`The sheet of ${sayMachine(machine)}`}
        >
          <button class="first-of-form" type="submit" name="go" value="look" tabIndex={-1} aria-hidden="true">
            Look it over
          </button>
          <KeyField value={form?.key ?? newFormKey()} />
          <SeenFields
            machine={machine.id}
            tasks={visit.tasks}
            atMs={(form === null ? undefined : seenAt(form)) ?? nowMs}
          />
          {sheet === null ? null : (
            <section>
              <h2>In working order</h2>
              <SheetLines sheet={sheet} typed={typed} />
            </section>
          )}
          <section class="confirm" id="confirm">
            <h2>When it is done</h2>
            <Trouble fault={fault} shown={shown} />
            {form !== null && fault === null ? (
              <p class="said">Nothing is written down yet. Look it over, then press the button below.</p>
            ) : null}
            <SeenToTicks noticed={open} ticked={form === null ? [] : form.all('seen-to')} />
            <ConfirmFields
              tasks={jobs}
              ticked={form === null ? ticksToBeginWith(visit, jobs) : form.all('task')}
              today={outlook.today}
              hoursNow={shown.ahead?.hoursNow ?? null}
              hasMeter={machine.meter.kind === 'meter'}
              fault={fault}
              people={household.people}
              typed={typed}
            />
            <button class="act main" type="submit" name="go" value="record">
              Write it down as done
            </button>
          </section>
        </form>
        {sheet === null || sheet.beforeUse.length === 0 ? null : (
          <section>
            <h2>Before each use</h2>
            {sheet.beforeUse.map((use) => (
              <>
                <h3>{use.title}</h3>
                <ul class="plain">
                  {use.checks.map((check) => (
                    <li>{check}</li>
                  ))}
                </ul>
              </>
            ))}
          </section>
        )}
      </article>
    </Page>
  );
}
