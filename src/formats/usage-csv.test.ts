import { expect, it } from 'vitest';
import { readUsageCsv } from './usage-csv.js';

it('a usage script gives hours by day and machine', () => {
  expect(readUsageCsv('day,machine,hours\n2031-04-05,mower,1.5\n2031-04-05,saw,0\n', 'u.csv')).toEqual({
    rows: [
      { line: 2, day: '2031-04-05', machine: 'mower', hours: 1.5 },
      { line: 3, day: '2031-04-05', machine: 'saw', hours: 0 },
    ],
    faults: [],
  });
});

it('more hours than a day has, and a day told twice, are named', () => {
  const { rows, faults } = readUsageCsv(
    'day,machine,hours\n2031-04-05,mower,24.5\n2031-04-06,mower,2\n2031-04-06,mower,1\n',
    'u.csv',
  );
  expect(rows).toHaveLength(1);
  expect(faults.map((f) => [f.place, f.code])).toEqual([
    ['u.csv:2:18', 'csv-cell-unreadable'],
    ['u.csv:4:1', 'csv-row-twice'],
  ]);
});
