import type { Machine } from '../../domain/machine.js';
import type { Task } from '../../domain/task.js';
import type { SetUp } from '../../ledger/set-up.js';
import { sayMachine } from '../../words/machine.js';
import { capital } from '../../words/sentence.js';
import { sayTask } from '../../words/task.js';
import { SensorLines } from '../sensor-lines.js';
import type { Shown } from '../shown.js';
import { WaysToAdd } from './add-to-task.js';
import { changesOf } from './fields.js';
import type { FileForm } from './file-form.js';
import { fileOf } from './file-of.js';
import { lastChanges, lastFields } from './last-fields.js';
import { machineChanges, machineFields } from './machine-fields.js';
import { sensorChanges, sensorFields } from './sensor-fields.js';
import { neverField, taskFields } from './task-fields.js';
import { workChanges, workFields } from './work-fields.js';

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
        <p>
          <a class="way" href={`/set-up/machines/${machine.id}/sensor`}>
            Its run-time sensor{machine.feed === undefined ? ', where it has one' : ''}
          </a>
        </p>
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
  const past = task.every === 'use' ? [] : lastFields(machine, task.id);
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
    fields: [...fields, ...past],
    changes: (form) => [
      ...changesOf(fields, form, current.values),
      ...(past.length === 0 ? [] : lastChanges(machine, task.id, form, current.values)),
    ],
    below: (
      <>
        <p>
          <a class="way" href={`${at}/steps`}>
            Its steps, tools and what has to come before it
          </a>
        </p>
        <WaysToAdd at={at} />
      </>
    ),
    up: { href: `/set-up/machines/${machine.id}`, text: machine.name },
    next: `/set-up/machines/${machine.id}`,
  };
}

/** How one job is done on a machine, and what it waits for. */
export function workForm(setUp: SetUp, machine: Machine, task: Task): FileForm {
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  const fields = workFields(task, machine, current.values);
  const at = `/set-up/machines/${machine.id}/tasks/${task.id}`;
  return {
    title: `How it is done: ${sayTask(task.id, machine)}`,
    intro: (
      <p class="second">
        On {sayMachine(machine)}. The cautions of the plan stay on the sheet whatever is written here. Where these steps
        and the machine’s own manual differ, follow the manual.
      </p>
    ),
    action: `${at}/steps`,
    file,
    current,
    fields,
    changes: (form) => workChanges(task, fields, form, current.values),
    up: { href: at, text: sayTask(task.id, machine) },
    next: at,
  };
}

/** The run-time sensor of a machine, and what was heard of it. */
export function sensorForm(setUp: SetUp, shown: Shown): FileForm {
  const { machine, household } = shown;
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  return {
    title: `The sensor of ${sayMachine(machine)}`,
    intro: (
      <>
        <p class="second">
          It tells over the broker when the engine runs; without one, hours come from readings alone.
          {household.mqtt === undefined ? (
            <>
              {' '}
              No broker is set up yet:{' '}
              <a class="way" href="/set-up/broker">
                name it first
              </a>
              .
            </>
          ) : null}
        </p>
        {machine.feed === undefined ? null : (
          <>
            <SensorLines shown={shown} />
            <p class="second">
              Each message as it comes, and what it is taken for: <code>shedbell feed {machine.id} --watch</code>
            </p>
          </>
        )}
      </>
    ),
    action: `/set-up/machines/${machine.id}/sensor`,
    file,
    current,
    fields: sensorFields,
    changes: (form) => sensorChanges(form, current.values),
    ...(machine.feed === undefined
      ? {}
      : { remove: { text: 'It has no sensor any more', changes: [{ path: ['feed'], value: undefined }] } }),
    up: { href: `/set-up/machines/${machine.id}`, text: machine.name },
    next: `/set-up/machines/${machine.id}/sensor`,
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
