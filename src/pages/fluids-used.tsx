import type { Finding } from '../domain/facts.js';
import { fluidFinding } from '../domain/fluid-used.js';
import type { Machine } from '../domain/machine.js';
import type { Fluid, Task } from '../domain/task.js';
import { capital } from '../words/sentence.js';
import type { Typed } from './field-names.js';
import type { Form } from './guard/form.js';

/** Name of the field for the fluid that really went in. */
function fluidName(task: Task, fluid: Fluid, what: 'kind' | 'amount'): string {
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
}

/** Folded away: only who filled in something else than the sheet says has anything to type. */
export function FluidFields({ tasks, machine, typed }: FluidProps) {
  const fluids = fluidsOf(tasks, machine);
  if (fluids.length === 0) return null;
  const isTyped = fluids.some(
    ({ task, fluid }) => typed(fluidName(task, fluid, 'kind')) !== '' || typed(fluidName(task, fluid, 'amount')) !== '',
  );
  return (
    <details open={isTyped}>
      <summary>Another fluid or amount than the sheet says?</summary>
      <p class="small">Leave empty what went in as the sheet says.</p>
      {fluids.map(({ task, fluid }) => (
        <fieldset class="measure">
          <legend>
            {capital(fluid.name)}: {task.title}
          </legend>
          {fluid.must === undefined ? null : <p class="small">The plan demands: {fluid.must}; no other.</p>}
          <div class="pair">
            <label>
              <span>Which kind</span>
              <input
                name={fluidName(task, fluid, 'kind')}
                value={typed(fluidName(task, fluid, 'kind'))}
                maxlength={120}
                autocomplete="off"
              />
            </label>
            <label>
              <span>Not {fluid.quantity}, but</span>
              <input
                name={fluidName(task, fluid, 'amount')}
                value={typed(fluidName(task, fluid, 'amount'))}
                maxlength={30}
                autocomplete="off"
              />
            </label>
          </div>
        </fieldset>
      ))}
    </details>
  );
}

/** What the form tells of fluids, as findings; nothing of those that went in as the sheet says. */
export function readFluids(form: Form, tasks: readonly string[], machine: Machine): readonly Finding[] {
  return fluidsOf(tasks, machine).flatMap(({ task, fluid }) => {
    const found = form.optional(fluidName(task, fluid, 'kind'));
    const left = form.optional(fluidName(task, fluid, 'amount'));
    if (found === null && left === null) return [];
    return [{ task: task.id, measurement: fluidFinding(fluid), place: null, found, left, verdict: null, note: null }];
  });
}
