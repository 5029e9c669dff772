import { expect, it } from 'vitest';
import { readRecordsCsv } from './records-csv.js';

const habit = { currency: 'EUR', point: '.' } as const;

it('old papers: tasks with any separator between, hours where known', () => {
  expect(
    readRecordsCsv(
      'day,hours,tasks,note\n2029-05-01,90,engine-oil; blades,from the shed wall\n2030-05-01,,air-filter + blades,\n',
      'x.csv',
      habit,
    ),
  ).toEqual({
    rows: [
      {
        line: 2,
        day: '2029-05-01',
        hours: 90,
        tasks: ['engine-oil', 'blades'],
        note: 'from the shed wall',
        paid: null,
      },
      { line: 3, day: '2030-05-01', hours: null, tasks: ['air-filter', 'blades'], note: null, paid: null },
    ],
    faults: [],
  });
});

it('a row without a day, a task or a readable number is named', () => {
  const { faults } = readRecordsCsv(
    'day,hours,tasks\n,90,blades\n2029-05-01,90,\n2029-05-01,ninety,blades\n2029-05-01,90,;\n',
    'x.csv',
    habit,
  );
  expect(faults.map((f) => f.place)).toEqual(['x.csv:2:1', 'x.csv:3:1', 'x.csv:4:12', 'x.csv:5:1']);
});

it('what was paid: in the household’s currency, in that of the row, or in the one written with it, and what for', () => {
  const { rows, faults } = readRecordsCsv(
    'day;tasks;paid;currency;paid_for\n2029-05-01;blades;112,40;;oil and filter\n2029-05-02;blades;1234;JPY;\n2029-05-03;blades;5 CHF;;\n2029-05-04;blades;;;\n',
    'x.csv',
    habit,
  );
  expect(faults).toEqual([]);
  expect(rows.map(({ paid }) => paid)).toEqual([
    { money: { currency: 'EUR', minor: 11_240, digits: 2 }, what: 'oil and filter' },
    { money: { currency: 'JPY', minor: 1234, digits: 0 }, what: null },
    { money: { currency: 'CHF', minor: 500, digits: 2 }, what: null },
    null,
  ]);
});

it('an amount that can be read in two ways, below zero, or without a currency is named with its place, and so are words without one', () => {
  const text =
    'day,tasks,paid,currency,paid_for\n2029-05-01,blades,1.234,,\n2029-05-02,blades,-5,,\n2029-05-03,blades,5,euro,\n2029-05-04,blades,,,oil\n';
  const { faults } = readRecordsCsv(text, 'x.csv', habit);
  expect(faults.map((f) => f.place)).toEqual(['x.csv:2:19', 'x.csv:3:19', 'x.csv:4:21', 'x.csv:5:1']);
  expect(faults[0]?.line).toContain('Is this 1234.00 EUR or 1.234 EUR?');
  const without = readRecordsCsv('day,tasks,paid\n2029-05-01,blades,5\n', 'x.csv', { ...habit, currency: null });
  expect(without.faults[0]?.line).toContain('This amount has no currency');
});
