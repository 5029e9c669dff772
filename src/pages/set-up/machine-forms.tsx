import type { Machine } from '../../domain/machine.js';
import type { Task } from '../../domain/task.js';
import type { SetUp } from '../../ledger/set-up.js';
import { sayMachine } from '../../words/machine.js';
import { capital } from '../../words/sentence.js';
import { sayTask } from '../../words/task.js';
import { WaysToAdd } from './add-to-task.js';
import { changesOf } from './fields.js';
import type { FileForm } from './file-form.js';
import { fileOf } from './file-of.js';
import { machineChanges, machineFields } from './machine-fields.js';
import { neverField, taskFields } from './task-fields.js';

/** A machine: what is known of it, and the way to each of its jobs. */
export function machineForm(setUp: SetUp, machine: Machine): FileForm {
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  const fittings = setUp.plans.find((plan) => plan.id === machine.planId)?.fittings ?? machine.has;
  const fields = machineFields(fittings, current.values);
  return {
    title: machine.name,
    intro: (
      <>
        <p class="second">
          Intervals, part numbers and quantities stand with each job below. The machine’s own manual counts.
        </p>
        <p>
          <a class="way" href={`/set-up/machines/${machine.id}/copy`}>
            A sheet to print: what to copy from your manual and filters
          </a>
        </p>
      </>
    ),
    action: `/set-up/machines/${machine.id}`,
    file,
    current,
    fields,
    changes: (form) => machineChanges(fields, form, current.values),
    remove: { text: 'It is sold or scrapped', changes: [{ path: ['gone'], value: true }] },
    below: (
      <section>
        <h2>Its jobs</h2>
        <ul class="ways">
          {machine.tasks.map((task) => (
            <li>
              <a class="way" href={`/set-up/machines/${machine.id}/tasks/${task.id}`}>
                {sayTask(task.id, machine)}
              </a>
            </li>
          ))}
          {Object.keys(machine.never).map((task) => (
            <li>
              <a class="way" href={`/set-up/machines/${machine.id}/tasks/${task}`}>
                {capital(task.replaceAll('-', ' '))}
              </a>
              <span class="small">retired</span>
            </li>
          ))}
        </ul>
      </section>
    ),
    next: `/set-up/machines/${machine.id}`,
  };
}

/** One job of a machine: the owner's values over those of the plan. */
export function taskForm(setUp: SetUp, machine: Machine, task: Task): FileForm {
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  const fields = taskFields(task, current.values);
  const at = `/set-up/machines/${machine.id}/tasks/${task.id}`;
  return {
    title: sayTask(task.id, machine),
    intro: (
      <p class="second">
        On {sayMachine(machine)}: what is shown comes from the plan ({task.source}) or from this machine’s file; your
        manual counts. A value of yours that you empty gives way to the plan’s again.
      </p>
    ),
    action: at,
    file,
    current,
    fields,
    changes: (form) => changesOf(fields, form, current.values),
    below: <WaysToAdd at={at} />,
    up: { href: `/set-up/machines/${machine.id}`, text: machine.name },
    next: `/set-up/machines/${machine.id}`,
  };
}

/** A job that is not done on this machine: why, and the way to take it up again. */
export function retiredForm(setUp: SetUp, machine: Machine, task: string): FileForm {
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  const { section: _section, ...field } = neverField(task);
  const fields = [field];
  return {
    title: capital(task.replaceAll('-', ' ')),
    intro: <p class="second">This job of the plan is retired on {sayMachine(machine)}.</p>,
    action: `/set-up/machines/${machine.id}/tasks/${task}`,
    file,
    current,
    fields,
    changes: (form) => changesOf(fields, form, current.values),
    up: { href: `/set-up/machines/${machine.id}`, text: machine.name },
    next: `/set-up/machines/${machine.id}`,
  };
}
