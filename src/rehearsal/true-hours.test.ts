import { expect, test } from 'vitest';
import { parseDay, parseInstant, parseZone } from '../domain/day.js';
import { trueHours } from './true-hours.js';

const zone = parseZone('UTC');
const usage = [
  { day: parseDay('2027-05-02'), hours: 4 },
  { day: parseDay('2027-05-03'), hours: 2 },
];
const meter = trueHours(usage, 100, parseDay('2027-05-01'), parseDay('2027-05-06'), zone);

test('the hours of a day are spread over its daytime', () => {
  expect(meter.at(parseInstant('2027-05-02T07:00Z', zone))).toBe(100);
  expect(meter.at(parseInstant('2027-05-02T14:00Z', zone))).toBe(102);
  expect(meter.at(parseInstant('2027-05-02T21:00Z', zone))).toBe(104);
});

test('days that the script lacks run no hours', () => {
  expect(meter.endOf(parseDay('2027-05-05'))).toBe(106);
});

test('the day a limit is reached is found, and past the script it goes on at the mean pace', () => {
  expect(meter.dayReaching(103)).toBe('2027-05-02');
  expect(meter.dayReaching(106)).toBe('2027-05-03');
  expect(meter.dayReaching(107)).toBe('2027-05-07');
  expect(trueHours([], 5, parseDay('2027-05-01'), parseDay('2027-05-06'), zone).dayReaching(9)).toBeNull();
});
