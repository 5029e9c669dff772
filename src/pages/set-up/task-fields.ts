import type { Plain } from '../../domain/home-change.js';
import type { Interval, Task } from '../../domain/task.js';
import { type Field, showing, type Values, valueAt } from './fields.js';
import { limitFields } from './limit-fields.js';
import { supplyFields } from './supply-fields.js';

/** Everything that a form asks about one job of a machine: the owner's values, over those of the plan.
 *  @param values  of the machine's file */
export function taskFields(task: Task, values: Values): readonly Field[] {
  return [
    ...whenFields(task, values),
    ...workFields(task),
    ...supplyFields(task, values),
    ...limitFields(task, values),
    neverField(task.id),
  ];
}

/** Why a job of the plan is not done here; emptied, it is done again. */
export function neverField(task: string): Field {
  return {
    name: 'never',
    label: 'This job is not done here, because',
    help: 'Empty: it is done. A reason takes it off every list.',
    kind: 'text',
    path: ['never', task],
    section: 'Retire it',
  };
}

function whenFields(task: Task, values: Values): readonly Field[] {
  const section = 'When it comes';
  const at = (...key: string[]) => ['tasks', task.id, ...key];
  const hours = (interval: Interval | undefined) => shownOf(interval, 'hours');
  const months = (interval: Interval | undefined) => shownOf(interval, 'months');
  const fields: Field[] = [];
  if (task.every !== 'use' && task.when === undefined) {
    fields.push(
      {
        name: 'everyHours',
        label: 'Every so many hours',
        help: 'Empty: not by hours.',
        kind: 'number',
        path: at('every', 'hours'),
        ...hours(task.every),
        whenEmpty: 'none',
        section,
      },
      {
        name: 'everyMonths',
        label: 'or so many months',
        help: 'Empty: not by the calendar.',
        kind: 'number',
        path: at('every', 'months'),
        ...months(task.every),
        whenEmpty: 'none',
        section,
      },
      {
        name: 'firstHours',
        label: 'On a new machine the first time after so many hours',
        help: 'Empty: as always.',
        kind: 'number',
        path: at('first', 'hours'),
        ...hours(task.first),
        whenEmpty: 'none',
        section,
      },
      {
        name: 'firstMonths',
        label: 'or so many months',
        help: 'Empty: not by the calendar.',
        kind: 'number',
        path: at('first', 'months'),
        ...months(task.first),
        whenEmpty: 'none',
        section,
      },
    );
    fields.push(
      {
        name: 'earlyHours',
        label: 'So many hours early are as good as on time',
        kind: 'number',
        path: at('tolerance', 'earlyHours'),
        ...showing(task.tolerance?.earlyHours),
        section,
      },
      {
        name: 'lateHours',
        label: 'and so many hours late',
        help: 'Empty: a tenth of its hours.',
        kind: 'number',
        path: at('tolerance', 'lateHours'),
        ...showing(task.tolerance?.lateHours),
        section,
      },
    );
  }
  return [...fields, ...seasonFields(task, values).map((field) => ({ ...field, section }))];
}

/** A season's rule is one thing: it is written anew as a whole. */
function seasonFields({ id, season }: Task, values: Values): readonly Field[] {
  if (season === undefined) return [];
  const whole = ['tasks', id, 'season'];
  const written = valueAt(values ?? undefined, [...whole, 'nightsBelow']);
  return [
    {
      name: 'seasonBefore',
      label: 'Once a year before',
      help: 'first-frost, last-frost, or month and day such as 10-20.',
      kind: 'text',
      path: [...whole, 'before'],
      whole,
      shown: season.before,
      isRequired: true,
    },
    {
      name: 'seasonDays',
      label: 'So many days before',
      kind: 'number',
      path: [...whole, 'days'],
      whole,
      shown: String(season.days),
    },
    {
      name: 'seasonNights',
      label: 'or with a night as cold as',
      help: 'Such as 3 C or 37 F, by the household’s thermometer. Empty: by the date alone.',
      kind: 'text',
      path: [...whole, 'nightsBelow'],
      whole,
      ...nightsShown(written, season.nightsBelow),
    },
  ];
}

function nightsShown(written: Plain | undefined, celsius: number | undefined): { readonly shown?: string } {
  if (typeof written === 'string') return { shown: written };
  return showing(celsius === undefined ? undefined : `${celsius} C`);
}

function workFields({ id, minutes, by }: Task): readonly Field[] {
  const section = 'The work';
  return [
    {
      name: 'minutes',
      label: 'Minutes it takes',
      kind: 'number',
      path: ['tasks', id, 'minutes'],
      shown: String(minutes),
      section,
    },
    {
      name: 'by',
      label: 'Done by',
      kind: 'choice',
      path: ['tasks', id, 'by'],
      shown: by,
      options: [
        { value: 'owner', text: 'us' },
        { value: 'dealer', text: 'a workshop' },
      ],
      section,
    },
  ];
}

function shownOf(interval: Interval | undefined, unit: 'hours' | 'months'): { readonly shown?: string } {
  return showing(interval === undefined || interval === 'use' ? undefined : interval[unit]);
}
