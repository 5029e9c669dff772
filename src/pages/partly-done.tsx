import type { Fault } from '../domain/fault.js';
import type { Assets } from './assets.js';
import { ConfirmFields, jobsToTick } from './confirm-fields.js';
import { RecordsOf, RestOf } from './done-visit.js';
import { FluidFields, refusedFluid } from './fluids-used.js';
import { type Form, newFormKey } from './guard/form.js';
import { Page } from './layout.js';
import { KeyField, Trouble } from './pieces.js';
import { SeenFields, seenAt } from './seen-fields.js';
import type { SeenVisit } from './seen-visit.js';

interface PartlyProps {
  readonly seen: Extract<SeenVisit, { kind: 'partly' }>;
  readonly token: string;
  readonly form: Form | null;
  readonly fault: Fault | null;
  readonly assets: Assets;
  readonly nowMs: number;
}

/** An old link to a visit of which a part is on record: what is done, and the rest to confirm. */
export function PartlyDone({ seen, token, form, fault, assets, nowMs }: PartlyProps) {
  const { machine, outlook, ahead } = seen.shown;
  const typed = (field: string) => form?.text(field) ?? '';
  return (
    <Page title={`${machine.name} · partly done`} assets={assets}>
      <h1>Part of this is done.</h1>
      <RecordsOf seen={seen} />
      <RestOf seen={seen} />
      <h2>Done since?</h2>
      <form method="post" action={`/v/${token}`} class="confirm">
        <KeyField value={form?.key ?? newFormKey()} />
        <SeenFields machine={machine.id} tasks={seen.rest} atMs={(form === null ? undefined : seenAt(form)) ?? nowMs} />
        <Trouble
          fault={fault}
          shown={seen.shown}
          field={fault === null ? null : refusedFluid(fault, seen.rest, machine)}
        />
        <ConfirmFields
          tasks={jobsToTick(seen.rest, [], seen.shown, 'link')}
          ticked={form === null ? [] : form.all('task')}
          today={outlook.today}
          hoursNow={ahead?.hoursNow ?? null}
          hasMeter={machine.meter.kind === 'meter'}
          fault={fault}
          people={[]}
          currency={seen.shown.household.currency ?? null}
          typed={typed}
        />
        <FluidFields tasks={seen.rest} machine={machine} typed={typed} units={seen.shown.household.units} />
        <button class="act main" type="submit" name="go" value="done">
          Yes, what is ticked is done
        </button>
      </form>
    </Page>
  );
}
