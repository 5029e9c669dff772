import { isDeepStrictEqual } from 'node:util';
import type { Plain } from '../../domain/home-change.js';
import type { Machine } from '../../domain/machine.js';
import type { Task } from '../../domain/task.js';
import { sayTask } from '../../words/task.js';
import type { Form } from '../guard/form.js';
import { changesOf, type Edit, type Field, type Option, showing, type Values, valueAt } from './fields.js';

const asInPlan: Option = { value: '', text: 'as in the plan' };
const ownList = 'One on each line. Once you change one, the whole list stands in your file. Empty: as in the plan.';

/** How one job is done: steps, tools and notes, what has to come before it, and the state of the machine that it wants. */
export function workFields(task: Task, machine: Machine, values: Values): readonly Field[] {
  const at = (...key: string[]) => ['tasks', task.id, ...key];
  const lines = (key: 'tools' | 'notes') => entriesOf(valueAt(values ?? undefined, at(key)), task[key] ?? []);
  const { needs } = task;
  return [
    {
      name: 'steps',
      label: 'Steps',
      help: `${ownList} A step that stays keeps its tool, place and caution; the caution of one that goes stays with the job.`,
      kind: 'lines',
      path: at('steps'),
      entries: entriesOf(valueAt(values ?? undefined, at('steps')), task.steps),
    },
    { name: 'tools', label: 'Tools', help: ownList, kind: 'lines', path: at('tools'), entries: lines('tools') },
    { name: 'notes', label: 'Notes', help: ownList, kind: 'lines', path: at('notes'), entries: lines('notes') },
    {
      name: 'engine',
      label: 'The engine has to be',
      kind: 'choice',
      path: at('needs', 'engine'),
      ...showing(needs?.engine),
      options: [
        asInPlan,
        { value: 'cold', text: 'cold' },
        { value: 'warm', text: 'warm' },
        { value: 'running', text: 'running' },
        { value: 'brief', text: 'started and stopped again at once' },
        { value: 'off', text: 'off, cold or warm' },
        { value: 'any', text: 'as it is' },
      ],
    },
    {
      name: 'raised',
      label: 'Raised has to be',
      kind: 'choice',
      path: at('needs', 'raised'),
      ...showing(needs?.raised),
      options: [
        asInPlan,
        { value: 'none', text: 'nothing' },
        { value: 'front', text: 'the front' },
        { value: 'rear', text: 'the rear' },
        { value: 'any', text: 'either end' },
      ],
    },
    {
      name: 'battery',
      label: 'The battery has to be',
      kind: 'choice',
      path: at('needs', 'battery'),
      ...showing(needs?.battery),
      options: [asInPlan, { value: 'connected', text: 'connected' }, { value: 'disconnected', text: 'disconnected' }],
    },
    afterField(task, machine, values),
  ];
}

/** What a sent form changes of it. No caution gets lost with the step that it stood above: it becomes one of the whole job. */
export function workChanges(task: Task, fields: readonly Field[], form: Form, values: Values): readonly Edit[] {
  const edits = changesOf(fields, form, values);
  const steps = edits.find(({ fields: [field] }) => field?.name === 'steps');
  // Emptied, the steps are the plan's again, with their cautions.
  if (steps === undefined || !Array.isArray(steps.value)) return edits;
  const stood = fields.find(({ name }) => name === 'steps')?.entries ?? [];
  const own = valueAt(values ?? undefined, ['tasks', task.id, 'cautions']);
  const ofJob: readonly Plain[] = Array.isArray(own) ? own : JSON.parse(JSON.stringify(task.cautions));
  const held = [...ofJob, ...cautionsOf(steps.value)].map((one) => JSON.stringify(one));
  const lost = cautionsOf(stood.map(({ value }) => value)).filter(
    (one, at, all) =>
      !held.includes(JSON.stringify(one)) && all.findIndex((other) => isDeepStrictEqual(other, one)) === at,
  );
  if (lost.length === 0) return edits;
  return [...edits, { path: ['tasks', task.id, 'cautions'], value: [...ofJob, ...lost], fields: steps.fields }];
}

function cautionsOf(steps: readonly Plain[]): readonly Plain[] {
  return steps.flatMap((step) => valueAt(step, ['caution']) ?? []);
}

function afterField(task: Task, machine: Machine, values: Values): Field {
  const path = ['tasks', task.id, 'after'];
  const entries = entriesOf(valueAt(values ?? undefined, path), task.after ?? []);
  const others = machine.tasks.filter(({ id }) => id !== task.id).map(({ id }) => id);
  const strange = entries.map(({ line }) => line).filter((id) => !others.includes(id));
  return {
    name: 'after',
    label: 'It comes after, in the same visit',
    kind: 'several',
    path,
    entries,
    whenEmpty: [],
    options: [...others, ...strange].map((id): Option => ({ value: id, text: sayTask(id, machine) })),
  };
}

/** The entries of a list as the file has them, else as the plan has, each with the line that it is shown as. */
function entriesOf(
  own: Plain | undefined,
  planned: readonly (string | { readonly do: string })[],
): NonNullable<Field['entries']> {
  const stands: readonly Plain[] = Array.isArray(own)
    ? own
    : planned.map((entry): Plain => {
        if (typeof entry === 'string') return entry;
        return Object.keys(entry).length === 1 ? entry.do : JSON.parse(JSON.stringify(entry));
      });
  return stands.flatMap((value) => {
    const said = typeof value === 'string' ? value : valueAt(value, ['do']);
    return typeof said === 'string' ? [{ line: said.replace(/\s+/g, ' ').trim(), value }] : [];
  });
}
