import type { Day } from '../../domain/day.js';
import type { PlanChoice, SetUp } from '../../ledger/set-up.js';
import type { Assets } from '../assets.js';
import { pageFault } from '../errors.js';
import { Page } from '../layout.js';
import { type FileForm, settingUp } from './file-form.js';
import { machineChanges, machineFields } from './machine-fields.js';

/** A file name from what a person calls a machine: `Hill tractor` → `hill-tractor`; null where nothing of it can stay. */
export function fileNameOf(name: string): string | null {
  const plain = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40)
    .replace(/-+$/, '');
  // A name in another script still wants a file: which machine it is says its name inside.
  if (plain === '') return /[\p{L}\p{N}]/u.test(name) ? 'machine' : null;
  // A word of JavaScript's own, which no file may be called.
  return plain === 'constructor' ? 'constructor-1' : plain;
}

/** `machine` may be taken by another name that has no Latin letters either: then it is numbered. */
function freeName(setUp: SetUp, id: string | null): string | null {
  if (id !== 'machine') return id;
  let number = 1;
  const numbered = () => (number === 1 ? id : `${id}-${number}`);
  while (setUp.read(`machines/${numbered()}.yaml`) !== null) number += 1;
  return numbered();
}

/** The first step of a new machine: its name and its plan, on which the other questions depend. */
export function ChoosePlan({
  plans,
  wrong,
  assets,
}: {
  readonly plans: readonly PlanChoice[];
  readonly wrong: string | null;
  readonly assets: Assets;
}) {
  return (
    <Page title="A new machine" up={settingUp} assets={assets}>
      <h1>A new machine</h1>
      {wrong === null ? null : (
        <p class="said" role="alert">
          {wrong}
        </p>
      )}
      <form method="get" action="/set-up/new-machine">
        <label>
          <span>Name</span>
          <span class="small">As you call it, such as Orchard mower.</span>
          <input name="name" required maxlength={80} />
        </label>
        <fieldset class="ticks">
          <legend>Its service plan</legend>
          <span class="small">
            Every value of these is common practice and can be changed afterwards; your manual counts.
          </span>
          {plans.map(({ id, title }, index) => (
            <label class="step">
              <input type="radio" name="plan" value={id} checked={index === 0} />
              <span>{title}</span>
            </label>
          ))}
        </fieldset>
        <button class="act main" type="submit">
          Go on
        </button>
      </form>
    </Page>
  );
}

/** The second step: the rest of the machine, which makes its file.
 *  @param today   the day that it came, unless the form says another
 *  @param chosen  the plan by its place in the list, and the name
 *  @throws Fault plan-unknown */
export function newMachineForm(
  setUp: SetUp,
  today: Day,
  chosen: { readonly plan: string; readonly name: string },
): FileForm {
  const plan = /^\d{1,3}$/.test(chosen.plan) ? setUp.plans[Number(chosen.plan)] : undefined;
  const id = freeName(setUp, fileNameOf(chosen.name));
  if (plan === undefined || id === null) {
    throw pageFault({
      code: 'plan-unknown',
      message: 'There is no plan of that number, or the name is empty',
      remedy: 'Begin again with “A new machine”.',
    });
  }
  const proposed: Readonly<Record<string, string>> = { name: chosen.name, since: today, last: 'unknown' };
  const asked = machineFields(plan.fittings, null);
  const fields = asked.map((field) => {
    const shown = proposed[field.name];
    return shown === undefined ? field : { ...field, shown };
  });
  return {
    title: 'A new machine',
    intro: <p class="second">{plan.title}.</p>,
    action: `/set-up/new-machine/${chosen.plan}`,
    file: `machines/${id}.yaml`,
    current: null,
    opening:
      "# Written on the page; every key of the example machine may stand here too. The machine's own manual counts.\n",
    fields,
    // Against a file that says nothing yet, each answer is written, those too that the form proposed.
    changes: (form) => [
      { path: ['name'], value: form.text('name'), fields: [] },
      { path: ['plan'], value: plan.id, fields: [] },
      ...machineChanges(
        asked.filter(({ name }) => name !== 'name').map(({ shown: _, ...field }) => field),
        form,
        null,
      ),
    ],
    next: `/machines/${id}`,
  };
}
