import { drawQrCode } from '../charts/qr-code.js';
import type { Fault } from '../domain/fault.js';
import { addressElsewhere } from '../domain/page-address.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import { sayDate, sayMinutes } from '../words/dates.js';
import { sayMachine } from '../words/machine.js';
import { notBeforeFinding, sayItem, sayPerhaps, sayToBuy } from '../words/shopping.js';
import { isLookFirst, sayVisit } from '../words/visit.js';
import type { Assets } from './assets.js';
import { ConfirmFields, jobsToTick, ticksToBeginWith } from './confirm-fields.js';
import { FluidFields, refusedFluid } from './fluids-used.js';
import { type Form, newFormKey } from './guard/form.js';
import { Page } from './layout.js';
import { Drawing, Figures, KeyField, Trouble, VisitHeading } from './pieces.js';
import { refusedField } from './refused-field.js';
import { SeenFields, seenAt } from './seen-fields.js';
import { SeenToTicks } from './seen-to.js';
import { SheetLines } from './sheet-lines.js';
import type { Shown } from './shown.js';
import { ToMend } from './to-mend.js';
import type { Verdicts } from './verdicts.js';

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
  readonly verdicts: Verdicts;
  readonly nowMs: number;
}

/** The sheet of one visit: what it needs, the work in order, and the form that writes it down. */
export function BenchSheet({ shown, visit, sheet, assets, form, fault, verdicts, nowMs }: SheetProps) {
  const { machine, outlook, household } = shown;
  const typed = (name: string) => form?.text(name) ?? '';
  const refused = fault === null ? null : (refusedField(fault, sheet) ?? refusedFluid(fault, visit.tasks, machine));
  // Before a first look nothing is bought.
  const toBuy = isLookFirst(visit) ? [] : visit.shopping.filter((item) => item.toBuy > 0);
  const open = shown.facts.noticed.filter((one) => one.state === 'open');
  const jobs = jobsToTick(visit.tasks, [], shown, 'sheet');
  const atHome = visit.shopping.filter((item) => item.toBuy <= 0);
  return (
    <Page title={`Sheet · ${machine.name}`} assets={assets}>
      <article class="sheet">
        <WayBack address={addressElsewhere(household)} visit={visit.id} />
        <Trouble fault={fault} shown={shown} field={refused} />
        <VisitHeading sentence={sayVisit(visit, machine, outlook.today, household.locale)} />
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
        {visit.perhaps === undefined || visit.perhaps.length === 0 ? null : (
          <section>
            <h2>Perhaps</h2>
            <ul class="plain">
              {visit.perhaps.map((item) => (
                <li>{sayPerhaps(item, household.units)}</li>
              ))}
            </ul>
            <p class="small">{notBeforeFinding}</p>
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
          // The answer opens at the top, where it says what was not taken, and leads to the field.
          action={`/visits/${visit.id}/sheet`}
          data-sheet={visit.id}
          data-waits={`The sheet of ${sayMachine(machine)}`}
        >
          <button
            class="first-of-form"
            type="submit"
            name="go"
            value="look"
            formaction={`/visits/${visit.id}/sheet#confirm`}
            tabIndex={-1}
            aria-hidden="true"
          >
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
              <SheetLines
                sheet={sheet}
                typed={typed}
                ticked={(name) => form?.all(name) ?? []}
                refused={refused}
                verdicts={verdicts}
              />
            </section>
          )}
          <section class="confirm" id="confirm">
            <h2>When it is done</h2>
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
              currency={household.currency ?? null}
              typed={typed}
            />
            <FluidFields tasks={visit.tasks} machine={machine} typed={typed} units={household.units} />
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
