import { expect, test } from 'vitest';
import { addDays, dayMs, hourMs, instantOf, parseDay, parseTimeOfDay, parseZone } from '../domain/day.js';
import type { SentNotice } from '../domain/facts.js';
import type { Household, Person } from '../domain/household.js';
import type { Ill } from '../domain/ill.js';
import { momentAt } from './speaking-times.js';
import { wishTrouble } from './trouble.js';

const zone = parseZone('Europe/Lisbon');
const household = {
  zone,
  evening: parseTimeOfDay('18:30'),
  quiet: { from: parseTimeOfDay('21:30'), to: parseTimeOfDay('07:00') },
  daysOff: [],
} as unknown as Household;
const ann: Person = { id: 'ann', name: 'Ann' };
const bo: Person = { id: 'bo', name: 'Bo', kinds: ['work'] };
const firstEveningMs = instantOf(parseDay('2027-05-04'), parseTimeOfDay('18:30'), zone);
const silent: Ill = {
  key: 'sensor mower',
  sentence: 'The sensor of the mower is silent.',
  sinceMs: firstEveningMs - dayMs,
};

function sentAt(atMs: number, keys: readonly string[]): SentNotice {
  return { id: 'n', message: 'm', kind: 'trouble', visit: null, tasks: keys, to: 'ann', atMs, proposedDay: null };
}

test('a trouble that lasts is told of in the evening, to whoever hears of troubles, with all that is wrong in one notice', () => {
  const broker: Ill = { key: 'broker', sentence: 'The broker does not answer.', sinceMs: firstEveningMs - 5 * hourMs };
  const wishes = wishTrouble([silent, broker], [], [ann, bo], momentAt(firstEveningMs, household));
  expect(wishes.map(({ person, notice }) => [person.id, notice.tasks, notice.because])).toEqual([
    ['ann', ['sensor mower', 'broker'], 'The sensor of the mower is silent.'],
  ]);
  expect(wishTrouble([silent], [], [ann], momentAt(firstEveningMs - 4 * hourMs, household))).toEqual([]);
});

test('what lasts for less than three hours is not worth a word', () => {
  const young = { ...silent, sinceMs: firstEveningMs - 2 * hourMs };
  expect(wishTrouble([young], [], [ann], momentAt(firstEveningMs, household))).toEqual([]);
});

test('in a year of the same trouble it is told a handful of times, ever rarer; a new trouble is told at once', () => {
  const sent: SentNotice[] = [];
  const days: number[] = [];
  for (let day = 0; day < 365; day += 1) {
    const nowMs = instantOf(addDays(parseDay('2027-05-04'), day), parseTimeOfDay('18:30'), zone);
    const ills =
      day < 100
        ? [silent]
        : [silent, { key: 'mail', sentence: 'Mail does not go out.', sinceMs: firstEveningMs + 99 * dayMs }];
    const [wish] = wishTrouble(ills, sent, [ann], momentAt(nowMs, household));
    if (wish === undefined) continue;
    sent.push(sentAt(nowMs, wish.notice.tasks));
    if (wish.notice.tasks.includes('sensor mower')) days.push(day);
    if (wish.notice.tasks.includes('mail') && sent.filter(({ tasks }) => tasks.includes('mail')).length === 1)
      expect(day).toBe(100);
  }
  expect(days).toEqual([0, 14, 44, 134, 224, 314]);
});

test('a trouble that went and came again within two weeks is not told twice', () => {
  const moment = momentAt(firstEveningMs + 5 * dayMs, household);
  const again = { ...silent, sinceMs: firstEveningMs + 4 * dayMs };
  expect(wishTrouble([again], [sentAt(firstEveningMs, ['sensor mower'])], [ann], moment)).toEqual([]);
});
