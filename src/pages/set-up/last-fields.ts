import type { Plain } from '../../domain/home-change.js';
import type { Machine } from '../../domain/machine.js';
import { pageFault } from '../errors.js';
import type { Form } from '../guard/form.js';
import { type Edit, type Field, plainOf, showing, type Values, valueAt } from './fields.js';

const section = 'Before the service knew the machine';

/** When one job was done last, before anything of it was written down here. */
export function lastFields({ last }: Machine, task: string): readonly Field[] {
  const known = Object.hasOwn(last, task) ? last[task] : undefined;
  const done = known?.kind === 'done' ? known : undefined;
  return [
    {
      name: 'lastHow',
      label: 'It was done last',
      help: 'What was confirmed since then counts before this.',
      kind: 'choice',
      path: [],
      ...showing(known?.kind),
      options: [
        { value: '', text: 'not at all: the machine was new' },
        { value: 'done', text: 'as the two lines below say' },
        { value: 'unknown', text: 'nobody knows when' },
        { value: 'fine-as-bought', text: 'in good order when it came' },
      ],
      section,
    },
    {
      name: 'lastHours',
      label: 'when the meter showed',
      help: 'Such as 320.',
      kind: 'number',
      path: ['last', task, 'hours'],
      ...showing(done?.hours),
      section,
    },
    {
      name: 'lastDay',
      label: 'and on',
      help: 'One of the two is enough.',
      kind: 'day',
      path: ['last', task, 'day'],
      ...showing(done?.day),
      section,
    },
  ];
}

/** What a sent form changes of it. One word for all jobs becomes a word for each of the others.
 *  @throws Fault last-said-twice, last-unsaid */
export function lastChanges(machine: Machine, task: string, form: Form, values: Values): readonly Edit[] {
  const fields = lastFields(machine, task);
  const typed = new Map(fields.map((field) => [field.name, form.text(field.name)]));
  const isSame = (field: Field) => !form.has(field.name) || typed.get(field.name) === (field.shown ?? '');
  if (fields.every(isSame)) return [];
  const wanted = wantedOf(fields, typed, isSame);
  const own = valueAt(values ?? undefined, ['last']);
  if (typeof own !== 'string') return [{ path: ['last', task], value: wanted, fields }];
  const others = machine.tasks.filter(({ id }) => id !== task).map(({ id }): [string, Plain] => [id, own]);
  return [
    { path: ['last'], value: Object.fromEntries(wanted === undefined ? others : [...others, [task, wanted]]), fields },
  ];
}

function wantedOf(
  fields: readonly Field[],
  typed: ReadonlyMap<string, string>,
  isSame: (field: Field) => boolean,
): Plain | undefined {
  const [, hours, day] = fields;
  if (hours === undefined || day === undefined) return undefined;
  const how = typed.get('lastHow') ?? '';
  const [hoursTyped = '', dayTyped = ''] = [typed.get('lastHours'), typed.get('lastDay')];
  const isNewlyTyped = [hours, day].some((field) => !isSame(field) && typed.get(field.name) !== '');
  if (isNewlyTyped && how !== 'done' && how !== '') {
    throw pageFault({
      code: 'last-said-twice',
      message: 'Hours or a day are written below, but this says something else',
      place: 'lastHow',
      remedy: 'Choose “as the two lines below say”, or clear the two lines.',
    });
  }
  if (how !== 'done' && !isNewlyTyped) return how === '' ? undefined : how;
  if (hoursTyped === '' && dayTyped === '') {
    throw pageFault({
      code: 'last-unsaid',
      message: 'Neither hours nor a day are written below',
      place: 'lastHow',
      remedy: 'Write one of them, or choose another answer.',
    });
  }
  return {
    ...(hoursTyped === '' ? {} : { hours: plainOf(hours, [hoursTyped]) }),
    ...(dayTyped === '' ? {} : { day: dayTyped }),
  };
}
