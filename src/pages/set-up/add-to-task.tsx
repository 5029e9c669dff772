import type { Machine } from '../../domain/machine.js';
import type { Specification } from '../../domain/specification.js';
import type { Task } from '../../domain/task.js';
import type { SetUp } from '../../ledger/set-up.js';
import { sayMachine } from '../../words/machine.js';
import { sayTask } from '../../words/task.js';
import { pageFault } from '../errors.js';
import { changesOf, type Field, type Values } from './fields.js';
import type { FileForm } from './file-form.js';
import { fileOf } from './file-of.js';
import { limitKinds, newLimitFields } from './limit-fields.js';
import { fileNameOf } from './new-machine.js';
import { ownEntry } from './own-entry.js';
import { fluidFields, partFields } from './supply-fields.js';

type Kind = Specification['kind'];

/** A table has points, for which a form is no place. */
const kindsToAdd = (Object.keys(limitKinds) as Kind[]).filter((kind) => kind !== 'lookup');

/** Ways to what a job's plan does not have. */
export function WaysToAdd({ at }: { readonly at: string }) {
  const ways = [
    { what: 'part', text: 'a part' },
    { what: 'fluid', text: 'a fluid' },
    ...kindsToAdd.map((kind) => ({ what: kind, text: limitKinds[kind].called })),
  ];
  return (
    <details>
      <summary>Add a part, a fluid or a limit</summary>
      <ul class="ways">
        {ways.map(({ what, text }) => (
          <li>
            <a class="way" href={`${at}/add/${what}`}>
              {text}
            </a>
          </li>
        ))}
      </ul>
    </details>
  );
}

/** Another part, fluid or limit of a job.
 *  @param what   part, fluid, or a kind of specification
 *  @param named  what was typed as its name, from which a measurement gets its id
 *  @throws Fault task-unknown */
export function addForm(setUp: SetUp, machine: Machine, task: Task, what: string, named: string): FileForm {
  const file = `machines/${machine.id}.yaml`;
  const current = fileOf(setUp, file);
  const kind = kindsToAdd.find((one) => one === what);
  if (kind === undefined && what !== 'part' && what !== 'fluid') {
    throw pageFault({
      code: 'task-unknown',
      message: 'Nothing of this kind can be added to a job',
      remedy: 'The page of the job lists what can.',
    });
  }
  const at = `/set-up/machines/${machine.id}/tasks/${task.id}`;
  const fields =
    kind === undefined
      ? suppliesToAdd(task, what === 'part' ? 'parts' : 'fluids', current.values)
      : newLimitFields(task.id, kind, freeId(task, named), current.values);
  return {
    title: kind === undefined ? (what === 'part' ? 'Another part' : 'Another fluid') : 'Another limit',
    intro: (
      <p class="second">
        {kind === undefined ? 'For' : `${limitKinds[kind].called.replace(/^./, (first) => first.toUpperCase())}. For`} “
        {sayTask(task.id, machine)}” on {sayMachine(machine)}. Its manual counts.
      </p>
    ),
    action: `${at}/add/${what}`,
    file,
    current,
    fields,
    changes: (form) => {
      if (kind === undefined)
        refuseTwice(task, what === 'part' ? 'parts' : 'fluids', form.text('name'), current.values);
      return changesOf(fields, form, current.values);
    },
    up: { href: at, text: sayTask(task.id, machine) },
    next: at,
  };
}

/** A second entry of one name would never be read. */
function refuseTwice(task: Task, list: 'parts' | 'fluids', name: string, values: Values): void {
  const isKnown = task[list].some((one) => one.name.toLowerCase() === name.toLowerCase());
  if (!isKnown && !ownEntry(values, ['tasks', task.id, list], 'name', name, 0).isThere) return;
  throw pageFault({
    code: 'name-twice',
    message: 'This job has one of this name already',
    place: 'name',
    found: JSON.stringify(name.slice(0, 60)),
    remedy: 'Change it on the page of the job, or give this one another name.',
  });
}

function suppliesToAdd(task: Task, list: 'parts' | 'fluids', values: Values): readonly Field[] {
  const asked =
    list === 'parts'
      ? partFields(task.id, { name: '', quantity: 1 }, 0, values)
      : fluidFields(task.id, { name: '', quantity: '' }, 0, values);
  const [first] = asked;
  if (first === undefined) return [];
  const name: Field = {
    name: 'name',
    label: 'What it is',
    help: list === 'parts' ? 'Such as drain plug washer.' : 'Such as gear oil.',
    kind: 'text',
    path: [...first.path.slice(0, -1), 'name'],
    isRequired: true,
  };
  return [name, ...asked].map(({ section: _section, item: _item, ...field }) => ({
    ...field,
    entry: { list: ['tasks', task.id, list], begins: {} },
  }));
}

/** An id from what a person calls a measurement, of which the job has none yet. */
function freeId(task: Task, named: string): string {
  const plain = fileNameOf(named) ?? 'limit';
  // What it says for a machine in another script.
  const id = plain === 'machine' ? 'limit' : plain;
  const isTaken = (one: string) => task.measure.some((measurement) => measurement.id === one);
  let number = 1;
  while (isTaken(number === 1 ? id : `${id}-${number}`)) number += 1;
  return number === 1 ? id : `${id}-${number}`;
}
