import type { Plain, ValueChange } from '../../domain/home-change.js';
import { seasonWords } from '../../domain/machine.js';
import type { Interval, Task } from '../../domain/task.js';
import { pageFault } from '../errors.js';
import type { Form } from '../guard/form.js';
import { changesOf, type Field, type Option, valueAt } from './fields.js';

type Values = { readonly [key: string]: Plain } | null;

/** Kept as it stands in the file: more was written there than a form can show. */
const asWritten = 'as-written';

/** What a form asks about a machine.
 *  @param fittings  what its plan knows
 *  @param values    of its file; null for a new one */
export function machineFields(fittings: readonly string[], values: Values): readonly Field[] {
  const meter = valueAt(values ?? undefined, ['meter']);
  const last = valueAt(values ?? undefined, ['last']);
  return [
    { name: 'name', label: 'Name', help: 'As you call it.', kind: 'text', path: ['name'], isRequired: true },
    {
      name: 'since',
      label: 'It came on',
      help: 'From this day on the service answers for it.',
      kind: 'day',
      path: ['since'],
    },
    {
      name: 'has',
      label: 'What is fitted',
      kind: 'several',
      path: ['has'],
      options: fittings.map((fitting): Option => ({ value: fitting, text: fitting.replaceAll('-', ' ') })),
    },
    {
      name: 'meter',
      label: 'Hour meter',
      help: 'By engine speed: it counts slower while the engine idles.',
      kind: 'choice',
      path: meter === 'none' ? ['meter'] : ['meter', 'counts'],
      shown: 'clock',
      options: [
        { value: 'clock', text: 'counts clock hours' },
        { value: 'engine-speed', text: 'counts by engine speed' },
        { value: 'none', text: 'has none' },
      ],
    },
    {
      name: 'firstHours',
      label: 'What the meter showed first',
      help: 'Such as 384.2.',
      kind: 'number',
      path: ['meter', 'first', 'hours'],
    },
    { name: 'firstOn', label: 'On', kind: 'day', path: ['meter', 'first', 'on'] },
    {
      name: 'hoursPerYear',
      label: 'Hours a year that you expect',
      help: 'A guess is fine; empty where you do not know.',
      kind: 'number',
      path: ['expect', 'hoursPerYear'],
    },
    {
      name: 'season',
      label: 'Used mostly in',
      kind: 'choice',
      path: ['expect', 'season'],
      shown: 'unknown',
      options: seasonWords.map((word): Option => ({ value: word, text: seasonText(word) })),
    },
    {
      name: 'last',
      label: 'How it came',
      help: 'New: its first services count. Past unknown: one visit for getting to know it.',
      kind: 'choice',
      path: ['last'],
      ...(typeof last === 'object' && last !== null ? { shown: asWritten } : {}),
      options: [
        { value: '', text: 'new' },
        { value: 'unknown', text: 'used, past unknown' },
        { value: 'fine-as-bought', text: 'used, all done by then' },
        ...(typeof last === 'object' && last !== null ? [{ value: asWritten, text: 'as written in its file' }] : []),
      ],
    },
    {
      name: 'restingFrom',
      label: 'It rests from',
      help: 'No messages while it rests.',
      kind: 'day',
      path: ['resting', 'from'],
    },
    { name: 'restingUntil', label: 'It rests until', kind: 'day', path: ['resting', 'until'] },
  ];
}

function seasonText(word: (typeof seasonWords)[number]): string {
  if (word === 'unknown') return 'I do not know';
  return word === 'even' ? 'all year alike' : word.replace('-', ' and ');
}

/** What a sent machine form changes in its file.
 *  @throws Fault hours-without-meter */
export function machineChanges(fields: readonly Field[], form: Form, values: Values): readonly ValueChange[] {
  const meterIsNone = form.text('meter') === 'none';
  const wasNone = valueAt(values ?? undefined, ['meter']) === 'none';
  return changesOf(fields, form, values).flatMap((change): readonly ValueChange[] => {
    const key = change.path.join('.');
    if (change.value === asWritten) return [];
    if (key === 'meter' || key === 'meter.counts') {
      if (meterIsNone) return [{ path: ['meter'], value: 'none' }];
      return wasNone ? [{ path: ['meter'], value: { counts: form.text('meter') } }] : [change];
    }
    if (key.startsWith('meter.first') && meterIsNone) {
      // What stood in the file goes with its meter; what was typed now is not dropped in silence.
      if (change.value === undefined) return [];
      throw pageFault({
        code: 'hours-without-meter',
        message:
          'A machine without an hour meter has nothing that it showed first: its hours are counted from the day it came',
        found: String(change.value),
        remedy: 'Clear it, or choose how its meter counts.',
      });
    }
    return [change];
  });
}

/** What a form asks about one job of a machine: the owner's values, over those of the plan. */
export function taskFields(task: Task): readonly Field[] {
  const at = (...key: string[]) => ['tasks', task.id, ...key];
  const every = shownInterval(task.every);
  const first = shownInterval(task.first);
  const fields: Field[] = [];
  if (task.every !== 'use') {
    fields.push(
      {
        name: 'everyHours',
        label: 'Every so many hours',
        help: 'Empty: not by hours.',
        kind: 'number',
        path: at('every', 'hours'),
        ...every.hours,
        whenEmpty: 'none',
      },
      {
        name: 'everyMonths',
        label: 'or so many months',
        help: 'Empty: not by the calendar.',
        kind: 'number',
        path: at('every', 'months'),
        ...every.months,
        whenEmpty: 'none',
      },
    );
  }
  if (task.first !== undefined) {
    fields.push({
      name: 'firstHours',
      label: 'The first time after so many hours',
      kind: 'number',
      path: at('first', 'hours'),
      ...first.hours,
      whenEmpty: 'none',
    });
  }
  fields.push(
    { name: 'minutes', label: 'Minutes it takes', kind: 'number', path: at('minutes'), shown: String(task.minutes) },
    {
      name: 'by',
      label: 'Done by',
      kind: 'choice',
      path: at('by'),
      shown: task.by,
      options: [
        { value: 'owner', text: 'us' },
        { value: 'dealer', text: 'a workshop' },
      ],
    },
    {
      name: 'never',
      label: 'Retire this job, because',
      help: 'Empty: it is done. A reason takes it off every list.',
      kind: 'text',
      path: ['never', task.id],
    },
  );
  return fields;
}

/** The owner's own part numbers and quantities of one job. */
export function suppliesFields(task: Task): readonly Field[] {
  return [
    ...task.parts.flatMap((part, index): Field[] => [
      {
        name: `number${index}`,
        label: `Number of the ${part.name}`,
        help: 'From your manual or the old one.',
        kind: 'text',
        path: [],
        shown: part.number ?? '',
      },
    ]),
    ...task.fluids.map(
      (fluid, index): Field => ({
        name: `quantity${index}`,
        label: `How much ${fluid.name}`,
        help: 'With its unit, such as 4.2 L.',
        kind: 'text',
        path: [],
        shown: fluid.quantity,
      }),
    ),
  ];
}

/** What the supplies form changes: entries of the machine's own lists, matched by name as the file does it. */
export function suppliesChanges(task: Task, form: Form, values: Values): readonly ValueChange[] {
  const own = (key: 'parts' | 'fluids'): readonly Plain[] => {
    const list = valueAt(values ?? undefined, ['tasks', task.id, key]);
    return Array.isArray(list) ? list : [];
  };
  const parts = task.parts.flatMap((part, index): [string, string, string][] => {
    const typed = form.text(`number${index}`);
    return typed === (part.number ?? '') ? [] : [[part.name, 'number', typed]];
  });
  const fluids = task.fluids.flatMap((fluid, index): [string, string, string][] => {
    const typed = form.text(`quantity${index}`);
    return typed === fluid.quantity || typed === '' ? [] : [[fluid.name, 'quantity', typed]];
  });
  return [
    ...listChange(['tasks', task.id, 'parts'], own('parts'), parts),
    ...listChange(['tasks', task.id, 'fluids'], own('fluids'), fluids),
  ];
}

function listChange(
  path: ValueChange['path'],
  own: readonly Plain[],
  edits: readonly (readonly [name: string, key: string, value: string])[],
): readonly ValueChange[] {
  if (edits.length === 0) return [];
  if (own.length === 0) return [{ path, value: edits.map(([name, key, value]) => ({ name, [key]: value })) }];
  let next = own.length;
  return edits.map(([name, key, value]) => {
    const index = own.findIndex((entry) => valueAt(entry, ['name']) === name);
    if (index >= 0) return { path: [...path, index, key], value };
    next += 1;
    return { path: [...path, next - 1], value: { name, [key]: value } };
  });
}

function shownInterval(interval: Interval | undefined): { hours: { shown?: string }; months: { shown?: string } } {
  if (interval === undefined || interval === 'use') return { hours: {}, months: {} };
  return {
    hours: interval.hours === undefined ? {} : { shown: String(interval.hours) },
    months: interval.months === undefined ? {} : { shown: String(interval.months) },
  };
}
