import { expect, test } from 'vitest';
import { whole, write } from '../../tests/stage/letter-said.js';
import { context, due, home, notice, outlook, tractor, visit } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import type { Due } from '../domain/results/due.js';

const april = parseDay('2031-04-30');
const past = (p10: string, p50: string, p90: string) => ({
  p10: parseDay(p10),
  p50: parseDay(p50),
  p90: parseDay(p90),
});
const oilDue: Due = { ...due, day: past('2031-04-10', '2031-04-19', '2031-04-28') };
const beltDue: Due = {
  ...due,
  task: 'fan-belt',
  intervalHours: 100,
  day: past('2031-02-10', '2031-03-01', '2031-03-20'),
};

/** The scene's visit, which the fan belt made due; its oil change takes oil. */
function lateBy(dues: readonly Due[], more: Partial<typeof visit> = {}) {
  const [first] = outlook.machines;
  if (first === undefined) throw new Error('the scene has no machine');
  const tasks = tractor.tasks.map((task) =>
    task.id === 'engine-oil' ? { ...task, fluids: [{ name: 'engine oil', litres: 3.2 }] } : task,
  );
  const led = { ...visit, leadTask: 'fan-belt', due: beltDue.day ?? visit.due, day: parseDay('2031-05-03'), ...more };
  return write(
    [notice('late', { proposedDay: parseDay('2031-05-03') })],
    context({
      home: { ...home, machines: [{ ...tractor, tasks }] } as typeof home,
      outlook: { ...outlook, today: april, visits: [led], machines: [{ ...first, dues }] },
    }),
  );
}

test('an overdue letter is about the weightiest job that is past its limit, not about the look that came first', () => {
  const letter = lateBy([beltDue, oilDue]);
  expect(letter.subject).toBe('Hill tractor: still to do, change engine oil and filter +2, Sat 3 May, 1 h 05');
  expect(letter.lead).toBe(
    'Still to do on the hill tractor: change engine oil and filter, which has almost certainly passed its limit, between 10 and 28 April, most likely about the 19th; so do it, and two more, this Saturday, 3 May.',
  );
});

test('it gives the rule of the job that it names', () => {
  const said = whole(lateBy([beltDue, oilDue]));
  expect(said).toContain('Change engine oil and filter: every 150 h or 18 months');
  expect(said).not.toContain('every 100 h');
});

test('a weightier job that is not due yet does not lead', () => {
  const later: Due = { ...oilDue, day: past('2031-05-10', '2031-06-01', '2031-07-01') };
  expect(lateBy([beltDue, later]).lead).toMatch(
    /^Still to do on the hill tractor: check the fan belt, which has almost/,
  );
});

test('where no job is known to be past, the one that made the visit due leads', () => {
  expect(lateBy([]).lead).toMatch(/: check the fan belt, which .*; so do it, and two more, /);
});

test('a single job is just done, and a dealer is booked for all of them', () => {
  expect(lateBy([beltDue], { tasks: ['fan-belt'] }).lead).toMatch(/; so do it this Saturday, 3 May\.$/);
  expect(lateBy([beltDue], { by: 'dealer' }).lead).toMatch(
    /; so book the dealer as soon as you can, for two more too\.$/,
  );
});
