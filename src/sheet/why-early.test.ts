import { expect, test } from 'vitest';
import { parseDay } from '../domain/day.js';
import type { SharedAccess } from '../domain/results/visit.js';
import { sayWhyEarly } from './why-early.js';

const say = (saves: SharedAccess | null, hoursEarly: number | null = 12.2, ownDay = '2031-06-14') =>
  sayWhyEarly({ task: 'belt', hoursEarly, ownDay: parseDay(ownDay), saves }, '2031-04-05');

test('says how many hours early, what is not done again, and when that would be', () => {
  expect(say({ kind: 'cover', name: 'side-panel' })).toBe(
    'done 12 h early: saves taking the side panel off again in June',
  );
  expect(say({ kind: 'raised', name: 'rear' })).toBe('done 12 h early: saves raising the rear again in June');
  expect(say({ kind: 'warm' })).toBe('done 12 h early: saves running the engine warm again in June');
  expect(say({ kind: 'battery' })).toBe('done 12 h early: saves disconnecting the battery again in June');
});

test('of another year says which, of a calendar limit no hours, and alone it saves the visit', () => {
  expect(say({ kind: 'fitting', name: 'loader' }, null, '2032-02-01')).toBe(
    'done early: saves taking the loader off again in February 2032',
  );
  expect(say(null)).toBe('done 12 h early: saves a visit of its own in June');
});
