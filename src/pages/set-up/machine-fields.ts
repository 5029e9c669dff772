import { seasonWords } from '../../domain/machine.js';
import { pageFault } from '../errors.js';
import type { Form } from '../guard/form.js';
import { changesOf, type Edit, type Field, type Option, type Values, valueAt } from './fields.js';

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
export function machineChanges(fields: readonly Field[], form: Form, values: Values): readonly Edit[] {
  const meterIsNone = form.text('meter') === 'none';
  const wasNone = valueAt(values ?? undefined, ['meter']) === 'none';
  return changesOf(fields, form, values).flatMap((change): readonly Edit[] => {
    const key = change.path.join('.');
    if (change.value === asWritten) return [];
    if (key === 'meter' || key === 'meter.counts') {
      if (meterIsNone) return [{ ...change, path: ['meter'], value: 'none' }];
      return wasNone ? [{ ...change, path: ['meter'], value: { counts: form.text('meter') } }] : [change];
    }
    if (key.startsWith('meter.first') && meterIsNone) {
      // What stood in the file goes with its meter; what was typed now is not dropped in silence.
      if (change.value === undefined) return [];
      throw pageFault({
        code: 'hours-without-meter',
        message:
          'A machine without an hour meter has nothing that it showed first: its hours are counted from the day it came',
        place: 'firstHours',
        found: String(change.value),
        remedy: 'Clear it, or choose how its meter counts.',
      });
    }
    return [change];
  });
}
