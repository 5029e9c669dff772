import { expect, it } from 'vitest';
import { readRecordsCsv } from './records-csv.js';

it('old papers: tasks with any separator between, hours where known', () => {
  expect(
    readRecordsCsv(
      'day,hours,tasks,note\n2029-05-01,90,engine-oil; blades,from the shed wall\n2030-05-01,,air-filter + blades,\n',
      'x.csv',
    ),
  ).toEqual({
    rows: [
      { line: 2, day: '2029-05-01', hours: 90, tasks: ['engine-oil', 'blades'], note: 'from the shed wall' },
      { line: 3, day: '2030-05-01', hours: null, tasks: ['air-filter', 'blades'], note: null },
    ],
    faults: [],
  });
});

it('a row without a day, a task or a readable number is named', () => {
  const { faults } = readRecordsCsv(
    'day,hours,tasks\n,90,blades\n2029-05-01,90,\n2029-05-01,ninety,blades\n2029-05-01,90,;\n',
    'x.csv',
  );
  expect(faults.map((f) => f.place)).toEqual(['x.csv:2:1', 'x.csv:3:1', 'x.csv:4:12', 'x.csv:5:1']);
});
