import { describe, expect, test } from 'vitest';
import { today, tractor, visit } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import type { Visit } from '../domain/results/visit.js';
import { sayVisit, sayVisitTitle } from './visit.js';

const day = parseDay;
const one: Visit = { ...visit, tasks: ['engine-oil'], pulledForward: [] };
const say = (more: Partial<Visit>) => sayVisit({ ...one, ...more }, tractor, today, 'en-GB');

describe('the title of a visit', () => {
  test('leads with the task that makes it due, and counts the rest', () => {
    expect(sayVisitTitle(one, tractor)).toBe('Change engine oil and filter');
    expect(sayVisitTitle({ ...one, tasks: ['loader-pins', 'engine-oil'] }, tractor)).toBe(
      'Change engine oil and filter, and grease the loader pins',
    );
    expect(sayVisitTitle(visit, tractor)).toBe('Change engine oil and filter, and two more');
  });

  test('names a task that the plan has lost by its id', () => {
    expect(sayVisitTitle({ ...one, leadTask: 'old-thing', tasks: ['old-thing'] }, tractor)).toBe('old thing');
  });
});

describe('the sentence of a visit', () => {
  test('says what, which machine, by when, how sure', () => {
    expect(say({})).toBe(
      'Change engine oil and filter on the hill tractor tomorrow, Saturday 22 March: it reaches its limit between 27 March and 24 April, most likely about 8 April.',
    );
  });

  test('speaks of the first limit where there are several tasks', () => {
    expect(sayVisit(visit, tractor, today, 'en-GB')).toContain('the first of them reaches its limit between');
  });

  test('names a fixed day as one', () => {
    const fixed = day('2031-03-30');
    expect(say({ due: { p10: fixed, p50: fixed, p90: fixed } })).toContain(
      ': it reaches its limit on Sunday 30 March.',
    );
  });

  test.each([
    ['2031-03-10', '2031-03-28', '2031-04-20', 'it may be at its limit already, most likely gets there about 28 March'],
    ['2031-03-01', '2031-03-10', '2031-03-30', 'it has probably passed its limit already, between 1 and 10 March'],
    [
      '2031-02-01',
      '2031-02-10',
      '2031-03-01',
      'it has almost certainly passed its limit, between 1 February and 1 March',
    ],
    ['2031-03-01', '2031-03-01', '2031-03-01', 'it passed its limit on Saturday 1 March'],
  ])('with a limit between %s, %s and %s it says: %s', (p10, p50, p90, said) => {
    expect(say({ due: { p10: day(p10), p50: day(p50), p90: day(p90) } })).toContain(said);
  });

  test('a proposed day that is past is not proposed again', () => {
    expect(say({ day: day('2031-03-15') })).toContain('on the hill tractor at the next chance:');
  });

  test('sends the owner to the dealer with work that is the dealer’s', () => {
    expect(say({ by: 'dealer', day: day('2031-04-12') })).toMatch(
      /^Book the dealer for the hill tractor, by Saturday 12 April if you can: /,
    );
  });

  test('a dealer’s work of unknown date is booked, not looked at', () => {
    const said = say({ by: 'dealer', kind: 'getting-to-know' });
    expect(said).toMatch(/^Book the dealer for .*; nobody knows when it was last done\.$/);
    expect(sayVisitTitle({ ...one, by: 'dealer', kind: 'getting-to-know' }, tractor)).toBe(
      'Change engine oil and filter',
    );
  });

  test('never talks of limits where nobody knows when anything was last done', () => {
    const said = say({ kind: 'getting-to-know' });
    expect(said).toContain('nobody knows when it was last done');
    expect(said).not.toContain('limit');
  });
});
