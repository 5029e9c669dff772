import { expect, test } from 'vitest';
import { parseDay } from '../domain/day.js';
import { sayDaysIn } from './days-in.js';

const today = parseDay('2027-03-31');

test('days in a sentence are said as people say them', () => {
  expect(sayDaysIn('The work on 2027-04-09 can wait.', today, 'en-GB')).toBe('The work on Friday 9 April can wait.');
});

test('what only looks like a day stays as it is', () => {
  expect(sayDaysIn('Part 2027-13-45, order 12027-04-091.', today, 'en-GB')).toBe(
    'Part 2027-13-45, order 12027-04-091.',
  );
});
