import { expect, test } from 'vitest';
import { parseDay, parseInstant, parseZone } from '../domain/day.js';
import type { HoursEntry } from '../domain/facts.js';
import { sayHoursEntry } from './hours-entry.js';

const zone = parseZone('Europe/Lisbon');
const today = parseDay('2031-09-02');
const common = {
  id: 'reading-7',
  machine: 'cider-press',
  atMs: parseInstant('2031-09-01T18:05', zone),
  door: 'page',
  by: null,
  takenBackAtMs: null,
} as const;
const say = (entry: HoursEntry) => sayHoursEntry(entry, today, zone, 'en-GB');

test('a reading is told with all its digits and the hour of the household', () => {
  expect(say({ ...common, kind: 'reading', hours: 641.25, record: null })).toBe('641.25 h, 1 September at 18:05');
});

test('a run is told by how long it was, and a rest by its days', () => {
  expect(say({ ...common, kind: 'run', minutes: 100 })).toBe('a run of 1 h 40, 1 September at 18:05');
  expect(say({ ...common, kind: 'not-used', sinceMs: parseInstant('2030-12-24T00:00', zone) })).toBe(
    'not used from 24 December 2030 to 1 September',
  );
});
