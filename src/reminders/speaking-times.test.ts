import fc from 'fast-check';
import { expect, test } from 'vitest';
import { aHousehold, at, inDays } from '../../tests/stage/visit-scene.js';
import { dayNumber, parseTimeOfDay } from '../domain/day.js';
import { isQuietTime, momentAt, speakingInstants } from './speaking-times.js';

const quiet = { quiet: { from: parseTimeOfDay('21:30'), to: parseTimeOfDay('07:00') } };

test.each([
  ['21:29', false],
  ['21:30', true],
  ['02:00', true],
  ['06:59', true],
  ['07:00', false],
])('with quiet hours from 21:30 to 07:00, %s is quiet: %s', (time, expected) => {
  expect(isQuietTime(parseTimeOfDay(time), quiet)).toBe(expected);
});

test('equal ends mean no quiet hours', () => {
  const none = { quiet: { from: parseTimeOfDay('07:00'), to: parseTimeOfDay('07:00') } };
  expect(isQuietTime(parseTimeOfDay('07:00'), none)).toBe(false);
});

test('a day off is quiet all day', () => {
  const household = aHousehold({ daysOff: [{ from: inDays(1), to: inDays(1) }] });
  expect(momentAt(at(1, '19:00'), household).isQuiet).toBe(true);
  expect(momentAt(at(2, '19:00'), household).isQuiet).toBe(false);
});

test('an evening that lies in quiet hours is made up for on the day after', () => {
  const household = aHousehold({ evening: parseTimeOfDay('22:00') });
  expect(momentAt(at(1, '09:00'), household).eveningOf).toBe(dayNumber(inDays(0)));
});

test('the instants to try lie ahead, ascend, and hold every evening', () => {
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 400 * 24 * 60 }), (minutes) => {
      const nowMs = at(0, '00:00') + minutes * 60_000;
      const instants = speakingInstants(nowMs, aHousehold(), 7);
      expect(instants.every((instant, i) => instant > (instants[i - 1] ?? nowMs))).toBe(true);
      expect(
        instants.filter((instant) => momentAt(instant, aHousehold()).eveningOf !== null).length,
      ).toBeGreaterThanOrEqual(7);
    }),
  );
});
