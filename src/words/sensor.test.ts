import { expect, test } from 'vitest';
import { parseDay, parseZone } from '../domain/day.js';
import { saySensorRatio, saySensorSilence } from './sensor.js';

const zone = parseZone('Europe/Lisbon');
const today = parseDay('2031-06-14');
const silentAt = (iso: string) => saySensorSilence({ kind: 'silent', sinceMs: Date.parse(iso) }, today, zone, 'en-GB');

test('a ratio is said with its doubt, to a hundredth', () => {
  expect(saySensorRatio({ p10: 1.1201, p50: 1.178, p90: 1.2399 })).toBe(
    'The sensor counts 1.18 h per meter hour (1.12 to 1.24).',
  );
  expect(saySensorRatio({ p10: 0.9, p50: 1, p90: 1.1 })).toBe(
    'The sensor counts 1.00 h per meter hour (0.90 to 1.10).',
  );
});

test('a silence is said with its beginning in household time, and that hours since then are estimated', () => {
  expect(silentAt('2031-06-14T08:05:00Z')).toBe(
    'The sensor has been silent since 09:05 today; hours since then are estimated.',
  );
  expect(silentAt('2031-06-10T22:30:00Z')).toBe(
    'The sensor has been silent since Tuesday 10 June, 23:30; hours since then are estimated.',
  );
});

test('a sensor that speaks needs no word, one that never spoke does', () => {
  expect(saySensorSilence({ kind: 'heard' }, today, zone, 'en-GB')).toBeNull();
  expect(saySensorSilence({ kind: 'never' }, today, zone, 'en-GB')).toContain('has not been heard yet');
});
