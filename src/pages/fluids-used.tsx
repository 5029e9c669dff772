import type { Finding } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import { placeOfFinding } from '../domain/finding-place.js';
import { fluidFinding, meetsDemand } from '../domain/fluid-used.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Fluid, Task } from '../domain/task.js';
import { amountOfTools } from '../domain/us-units.js';
import { anotherFluid, sayFluidRoom } from '../words/fluid-used.js';
import { capital } from '../words/sentence.js';
import { fieldId, type Typed } from './field-names.js';
import type { Form } from './guard/form.js';

/** Name of the field for the fluid that really went in. */
function fluidName(task: Task, fluid: Fluid, what: 'kind' | 'amount' | 'meets'): string {
  return `fluid.${task.id}.${fluid.name.slice(0, 80)}.${what}`;
}

function fluidsOf(tasks: readonly string[], machine: Machine) {
  return machine.tasks
    .filter(({ id, by }) => by === 'owner' && tasks.includes(id))
    .flatMap((task) => task.fluids.map((fluid) => ({ task, fluid })));
}

interface FluidProps {
  readonly tasks: readonly string[];
  readonly machine: Machine;
  readonly typed: Typed;
  readonly units: Household['units'];
}

/** Folded away: only who filled in something else than the sheet says has anything to type. */
export function FluidFields({ tasks, machine, typed, units }: FluidProps) {
  const fluids = fluidsOf(tasks, machine);
  if (fluids.length === 0) return null;
  const isTyped = fluids.some(
    ({ task, fluid }) => typed(fluidName(task, fluid, 'kind')) !== '' || typed(fluidName(task, fluid, 'amount')) !== '',
  );
  return (
    <>
      <details class="no-print" open={isTyped}>
        <summary>Another fluid or amount than the sheet says?</summary>
        <p class="small">Leave empty what went in as the sheet says.</p>
        {fluids.map(({ task, fluid }) => (
          <fieldset class="measure">
            <legend>
              {capital(fluid.name)}: {task.title}
            </legend>
            {fluid.must === undefined ? null : <p class="small">The plan demands: {fluid.must}; no other.</p>}
            <div class="pair">
              <FluidField label="Which kind" name={fluidName(task, fluid, 'kind')} typed={typed} longest={120} />
              <FluidField
                label={`Not ${amountOfTools(fluid.quantity, units).said}, but`}
                name={fluidName(task, fluid, 'amount')}
                typed={typed}
                longest={30}
              />
            </div>
            {fluid.must === undefined ? null : (
              <label class="step">
                <input
                  type="checkbox"
                  name={fluidName(task, fluid, 'meets')}
                  value="yes"
                  checked={typed(fluidName(task, fluid, 'meets')) === 'yes'}
                />
                <span>Another name only: its label says that it meets what the plan demands</span>
              </label>
            )}
          </fieldset>
        ))}
      </details>
      <div class="paper-only">
        <p>{anotherFluid}:</p>
        <ul class="plain">
          {fluids.map(({ task, fluid }) => (
            <li>{sayFluidRoom(fluid, task, units)}</li>
          ))}
        </ul>
      </div>
    </>
  );
}

interface FluidFieldProps {
  readonly label: string;
  readonly name: string;
  readonly typed: Typed;
  readonly longest: number;
}

function FluidField({ label, name, typed, longest }: FluidFieldProps) {
  return (
    <label>
      <span>{label}</span>
      <input id={fieldId(name)} name={name} value={typed(name)} maxlength={longest} autocomplete="off" />
    </label>
  );
}

/** The field of a fluid that a fault is about, by name; null where it is about none. */
export function refusedFluid({ place }: Fault, tasks: readonly string[], machine: Machine): string | null {
  for (const { task, fluid } of fluidsOf(tasks, machine)) {
    const finding = { task: task.id, measurement: fluidFinding(fluid), place: null };
    if (place === placeOfFinding(finding, 'left')) return fluidName(task, fluid, 'amount');
    if (place === placeOfFinding(finding, 'found')) return fluidName(task, fluid, 'kind');
  }
  return null;
}

/** What the form tells of fluids, as findings; nothing of those that went in as the sheet says. */
export function readFluids(form: Form, tasks: readonly string[], machine: Machine): readonly Finding[] {
  return fluidsOf(tasks, machine).flatMap(({ task, fluid }) => {
    const found = form.optional(fluidName(task, fluid, 'kind'));
    const left = form.optional(fluidName(task, fluid, 'amount'));
    if (found === null && left === null) return [];
    const note = form.text(fluidName(task, fluid, 'meets')) === 'yes' ? meetsDemand : null;
    return [{ task: task.id, measurement: fluidFinding(fluid), place: null, found, left, verdict: null, note }];
  });
}
