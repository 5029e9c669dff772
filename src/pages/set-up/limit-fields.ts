import type { Specification } from '../../domain/specification.js';
import type { Measurement, Task } from '../../domain/task.js';
import { capital } from '../../words/sentence.js';
import { type Field, showing, type Values } from './fields.js';
import { ownEntry } from './own-entry.js';

type Kind = Specification['kind'];

/** A value of a measurement as its form asks for it, by its key in the file. */
interface Asked {
  readonly key: string;
  readonly label: string;
  readonly help?: string;
  readonly kind?: Field['kind'];
  readonly isShort?: true;
  /** A new measurement is not read without it. */
  readonly isRequired?: boolean;
}

const min: Asked = {
  key: 'min',
  isShort: true,
  label: 'At least',
  help: 'With its unit, such as 10 mm.',
  isRequired: true,
};
const max: Asked = {
  key: 'max',
  isShort: true,
  label: 'At most',
  help: 'With its unit, such as 14 mm.',
  isRequired: true,
};
const belowColdest: Asked = {
  key: 'belowColdest',
  isShort: true,
  label: 'or so far below the coldest night',
  help: 'Such as 8 C. A largest value of your own counts instead.',
};
const aim: Asked = { key: 'aim', isShort: true, label: 'Set it to', help: 'Within these, such as 12 mm.' };

/** What a person calls each way of judging, and what it is judged by. */
export const limitKinds: { readonly [K in Kind]: { readonly called: string; readonly asked: readonly Asked[] } } = {
  range: { called: 'measured: between two values', asked: [min, max, belowColdest, aim] },
  atLeast: { called: 'measured: at least', asked: [min, aim] },
  atMost: { called: 'measured: at most', asked: [max, belowColdest, aim] },
  nominal: {
    called: 'measured: a value, more or less',
    asked: [
      {
        key: 'nominal',
        isShort: true,
        label: 'The value',
        help: 'With its unit, such as 160 kPa or 23 psi.',
        isRequired: true,
      },
      { key: 'tolerance', isShort: true, label: 'More or less', help: 'Such as 10 kPa.', isRequired: true },
    ],
  },
  difference: {
    called: 'measured: the difference of two',
    asked: [
      { key: 'first', label: 'Measured first', help: 'Such as rear of the tyres.' },
      { key: 'second', label: 'and taken away from it', help: 'Such as front of the tyres.' },
      { key: 'min', isShort: true, label: 'Smallest difference', help: 'With its unit, such as 2 mm or -4 mm.' },
      { key: 'max', isShort: true, label: 'Largest difference', help: 'One of the two is wanted at least.' },
    ],
  },
  lookup: {
    called: 'measured: by a table',
    asked: [
      {
        key: 'min',
        isShort: true,
        label: 'At least',
        help: 'A number in the table’s unit.',
        kind: 'number',
      },
      {
        key: 'max',
        isShort: true,
        label: 'At most',
        help: 'A number in the table’s unit.',
        kind: 'number',
      },
    ],
  },
  setTo: {
    called: 'set: a torque or a pressure',
    asked: [
      { key: 'value', label: 'Set it to', help: 'With its unit, such as 90 N m or 65 lbf ft.', isRequired: true },
      { key: 'pattern', label: 'In which order', help: 'Such as crosswise.' },
    ],
  },
  adjustThen: {
    called: 'set: adjusted, then checked',
    asked: [
      { key: 'adjustTo', label: 'First adjust it to', help: 'Such as 30 mm.', isRequired: true },
      { key: 'then', label: 'Then', help: 'Such as back off a sixth of a turn.', isRequired: true },
      min,
      max,
    ],
  },
  level: {
    called: 'looked at: a level between marks',
    asked: [
      { key: 'marks', label: 'It stands', help: 'Such as between the two marks of the dipstick.', isRequired: true },
      { key: 'looksWrong', label: 'It looks wrong when', help: 'Such as milky.' },
    ],
  },
  look: {
    called: 'looked at: sound or not',
    asked: [
      { key: 'sound', label: 'It is sound when', help: 'Such as dry, no crack.', isRequired: true },
      { key: 'normal', label: 'Odd, but no fault', help: 'Such as a grey puff when the throttle opens.' },
    ],
  },
  test: {
    called: 'tried: passed or failed',
    asked: [
      { key: 'passes', label: 'It passes when', help: 'Such as the engine stops at once.', isRequired: true },
      { key: 'longest', label: 'Within', help: 'Such as 1 s; empty: no time.' },
      { key: 'stopUse', label: 'A failure means: do not use it', kind: 'yes-no' },
    ],
  },
};

/** The limits of one job: what each measurement, look and test is judged by. */
export function limitFields(task: Task, values: Values): readonly Field[] {
  return task.measure.flatMap((measurement, index) => fieldsOf(task.id, measurement, index, values));
}

function fieldsOf(task: string, measurement: Measurement, index: number, values: Values): readonly Field[] {
  const { specification, name } = measurement;
  const { at, entry, out } = ownEntry(values, ['tasks', task, 'measure'], 'id', measurement.id, index);
  const known: Readonly<Record<string, unknown>> = { ...specification, aim: measurement.aim };
  const about = { section: 'Limits, looks and tests', item: capital(name) };
  const fields = limitKinds[specification.kind].asked
    .filter(({ key }) => key !== 'belowColdest' || known[key] !== undefined)
    .map(({ key, label, help, kind = 'text', isShort }): Field => {
      const value = known[key];
      return {
        name: `limit${index}-${key}`,
        label,
        ...(help === undefined ? {} : { help }),
        kind,
        path: at(key),
        ...showing(isPlain(value) ? value : undefined),
        ...about,
        ...(isShort === undefined ? {} : { isShort }),
        ...entry,
      };
    });
  return [...fields, ...out(`limit${index}-out`, about)];
}

function isPlain(value: unknown): value is string | number | boolean {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
}

/** What a form asks about a measurement that the job does not have yet.
 *  @param id  that it gets in the file */
export function newLimitFields(task: string, kind: Kind, id: string, values: Values): readonly Field[] {
  const { at, entry } = ownEntry(values, ['tasks', task, 'measure'], 'id', id, 0);
  const asked: readonly Asked[] = [
    { key: 'name', label: 'What it is', help: 'Such as free play of the pedal.', isRequired: true },
    ...limitKinds[kind].asked.filter(({ key }) => key !== 'belowColdest'),
    { key: 'method', label: 'How it is taken', help: 'Where, and with what.' },
  ];
  return asked.map(
    ({ key, label, help, kind: field = 'text', isRequired = false }): Field => ({
      name: key,
      label,
      ...(help === undefined ? {} : { help }),
      kind: field,
      path: at(key),
      isRequired,
      ...(entry.entry === undefined ? {} : { entry: { ...entry.entry, begins: { id, kind } } }),
    }),
  );
}
