import { expect, it } from 'vitest';
import { readReadingsCsv } from './readings-csv.js';

const read = (text: string) => readReadingsCsv(text, 'old.csv');
const faultLines = (text: string) => read(text).faults.map((f) => f.line);

it('readings by instant or by day, with or without a note', () => {
  expect(read('at,hours,note\n2030-05-01T12:00Z,180.2,\n2030-06-01 08:30,185,"after the hay, wet"\n')).toEqual({
    rows: [
      { line: 2, at: '2030-05-01T12:00Z', hours: 180.2, note: null },
      { line: 3, at: '2030-06-01 08:30', hours: 185, note: 'after the hay, wet' },
    ],
    faults: [],
  });
  expect(read('Day,Hours\r\n2030-05-01,180').rows).toEqual([{ line: 2, at: '2030-05-01', hours: 180, note: null }]);
});

it('semicolons with decimal commas, a byte order mark and empty lines are read', () => {
  expect(read('\uFEFFday;hours\r\n\r\n2030-05-01;180,2\r\n;\r\n').rows).toEqual([
    { line: 3, at: '2030-05-01', hours: 180.2, note: null },
  ]);
});

it('every bad row is named with its line and what would be right; the good ones are read', () => {
  const { rows, faults } = read(
    'day,hours\n2030-02-30,180\n2030-05-01,abc\n2030-05-02,181\n2030-05-03\n2030-05-04,\n2030-05-05,-3\n',
  );
  expect(rows.map((r) => r.line)).toEqual([4]);
  expect(faults.map((f) => [f.place, f.code])).toEqual([
    ['old.csv:2:1', 'csv-cell-unreadable'],
    ['old.csv:3:12', 'csv-cell-unreadable'],
    ['old.csv:5:1', 'csv-row-incomplete'],
    ['old.csv:6:1', 'csv-row-incomplete'],
    ['old.csv:7:12', 'csv-cell-unreadable'],
  ]);
  for (const fault of faults) expect(fault.remedy, fault.line).toBeTruthy();
});

it('lines are counted where a cell holds line breaks', () => {
  const { rows, faults } = read('day,hours,note\n2030-05-01,180,"two\nlines"\n2030-05-02,x,\n');
  expect(rows.map((r) => r.line)).toEqual([2]);
  expect(faults.map((f) => f.place)).toEqual(['old.csv:4:12']);
});

it.each([
  ['', 'csv-unreadable'],
  ['day,hours\n2030-05-01,"180', 'csv-unreadable'],
  ['hours\n180', 'csv-column-missing'],
  ['day,at,hours\n', 'csv-column-unknown'],
  ['day,hours,hours\n', 'csv-column-unknown'],
  ['day,hours,colour\n', 'csv-column-unknown'],
])('a file that is none: %j', (text, code) => {
  const { rows, faults } = read(text);
  expect(rows).toEqual([]);
  expect(faults[0]).toMatchObject({ code, place: expect.stringMatching(/^old\.csv:\d+:1$/) });
});

it('a first line without names is one fault, which shows one that would do', () => {
  expect(faultLines('2030-05-01,180\n2030-06-01,185')).toEqual([
    'old.csv:1:1: The first line names no column (found "2030-05-01,180"). The first line names the columns: at or day, hours; note may follow, such as day,hours. Write such a line above the others.',
  ]);
});

it.each(['1e308', 'NaN', 'Infinity', '0x1f', '1 000', ''])('hours %j are refused', (hours) => {
  expect(faultLines(`day,hours\n2030-05-01,${hours}`)).toHaveLength(1);
});
