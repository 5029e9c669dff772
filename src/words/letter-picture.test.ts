import { expect, test } from 'vitest';
import { context, due, notice, outlook, tractor } from '../../tests/stage/letter-scene.js';
import { someFacts } from '../../tests/stage/small-machine.js';
import { meterHours } from '../domain/meter-hours.js';
import { sayPicture } from './letter-picture.js';

const about = (kind: 'work' | 'trouble', where = context(), facts = [someFacts([], [])]) =>
  sayPicture({ to: 'marta', notices: [notice(kind, kind === 'trouble' ? { machine: null } : {})] }, where, facts);
const withDue = (more: Partial<typeof due>) =>
  context({
    outlook: { ...outlook, machines: outlook.machines.map((one) => ({ ...one, dues: [{ ...due, ...more }] })) },
  });

test('the picture says in words what it shows: the hours now, the last readings, and when the limit is reached', () => {
  const [reading] = outlook.machines.flatMap(({ lastReading }) => (lastReading === null ? [] : [lastReading]));
  if (reading === undefined) throw new Error('the scene has a reading');
  const facts = [{ ...someFacts([], []), machine: tractor.id, readings: [reading] }];
  expect(about('work', context(), facts)?.alt).toBe(
    'Hours of the hill tractor over time: now about 386 h (379 to 394). Read 380.4 h on 9 March. 400 h, Change engine oil and filter: reached between 27 March and 24 April.',
  );
});

test('a value that was read twice on a day is said once', () => {
  const [reading] = outlook.machines.flatMap(({ lastReading }) => (lastReading === null ? [] : [lastReading]));
  if (reading === undefined) throw new Error('the scene has a reading');
  const readings = [reading, { ...reading, id: 'again', atMs: reading.atMs + 60_000 }];
  const facts = [{ ...someFacts([], []), machine: tractor.id, readings }];
  expect(about('work', context(), facts)?.alt).toContain('Read 380.4 h on 9 March. 400 h');
});

test('there is none where no hours are known to lead to a limit, or where the letter is about no machine', () => {
  expect(about('trouble')).toBeNull();
  expect(about('work', withDue({ limit: 'months' }))).toBeNull();
  expect(about('work', withDue({ targetHours: meterHours(100) }))).toBeNull();
  expect(about('work', withDue({ day: null }))).toBeNull();
});
