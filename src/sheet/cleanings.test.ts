import { describe, expect, test } from 'vitest';
import { parseDay } from '../domain/day.js';
import type { Finding } from '../domain/facts.js';
import { cleaningsSinceNew, sayCleanings } from './cleanings.js';

const recorded = (day: string, found: string, task = 'air-filter', measurement = 'outcome') => ({
  day: parseDay(day),
  enteredAtMs: Date.parse(day),
  findings: [{ task, measurement, found } as Finding],
});

describe('cleanings since the part was new', () => {
  test('count from the last replacement on, whatever order the records come in', () => {
    const records = [
      recorded('2032-09-01', 'cleaned'),
      recorded('2031-04-02', 'cleaned'),
      recorded('2031-08-02', 'replaced'),
      recorded('2032-04-02', 'cleaned'),
    ];
    expect(cleaningsSinceNew('air-filter', records)).toBe(2);
    expect(cleaningsSinceNew('air-filter', [])).toBe(0);
  });

  test('a look, another job and another value count nothing', () => {
    const records = [
      recorded('2031-04-02', 'looked at and fine'),
      recorded('2031-05-02', 'cleaned', 'fuel-strainer'),
      recorded('2031-06-02', 'cleaned', 'air-filter', 'note'),
    ];
    expect(cleaningsSinceNew('air-filter', records)).toBe(0);
  });

  test.each([
    [0, 4, 'Cleaned 4 times since it was new, it is replaced.'],
    [1, 4, 'Cleaned once since it was new; after 4 times it is replaced.'],
    [4, 4, 'Cleaned 4 times since it was new, as often as it may be: replace it this time.'],
    [5, 1, 'Cleaned 5 times since it was new, as often as it may be: replace it this time.'],
  ])('%i of %i', (done, most, said) => {
    expect(sayCleanings(done, most)).toBe(said);
  });
});
