import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { meterHours, runningWords, runSeconds, voltage } from '../../../tests/stage/feeds.js';
import { parseZone } from '../../domain/day.js';
import type { Feed } from '../../domain/machine.js';
import { decode } from './decode.js';

const zone = parseZone('Europe/Lisbon');
const say = (feed: Feed, payload: string | Buffer) => decode(feed, Buffer.from(payload), zone);
const kinds = [runSeconds, runningWords, meterHours, voltage];

describe('a plain payload', () => {
  test('is read in the unit of its kind', () => {
    expect(say(runSeconds, ' 8040 ')).toMatchObject({ kind: 'run-seconds', seconds: 8040 });
    expect(say(meterHours, '386.2')).toMatchObject({ kind: 'meter-hours', hours: 386.2 });
    expect(say(voltage, '13.85')).toMatchObject({ kind: 'voltage', volts: 13.85 });
    expect(say(runningWords, 'RUN')).toMatchObject({ kind: 'running', isRunning: true });
    expect(say(runningWords, '0')).toMatchObject({ kind: 'running', isRunning: false });
  });

  test('is scaled and offset', () => {
    expect(say({ ...runSeconds, scale: 60, offset: 30 }, '2')).toMatchObject({ seconds: 150 });
    expect(say({ ...voltage, scale: 0.001 }, '13850')).toMatchObject({ volts: 13.85 });
  });

  test.each([
    '',
    ' ',
    'null',
    'abc',
    'NaN',
    'Infinity',
    '1e999',
    '-1',
    '1e300',
    '12,5',
    '0x10',
    '1 2',
    '١٢',
    '--5',
    '5 s',
    '[1]',
    '{"a":1}',
  ])('of %j is no number and is refused with a reason', (payload) => {
    for (const feed of [runSeconds, meterHours, voltage]) {
      const said = say(feed, payload);
      expect(said.kind).toBe('refused');
      if (said.kind === 'refused') expect(said.reason.length).toBeGreaterThan(10);
    }
  });

  test('of a word in neither list is refused, and the lists are named', () => {
    const said = say(runningWords, 'maybe');
    expect(said).toMatchObject({ kind: 'refused', reason: expect.stringContaining('run') });
  });

  test('of invalid UTF-8 is refused (RFC 3629 section 3: C0 and FF never appear, F4 90 is past the last code point)', () => {
    for (const bytes of [[0xff], [0xc0, 0x80], [0x31, 0xe2, 0x82], [0xf4, 0x90, 0x80, 0x80], [0xed, 0xa0, 0x80]]) {
      for (const feed of kinds)
        expect(say(feed, Buffer.from(bytes))).toMatchObject({ kind: 'refused', code: 'payload-unreadable' });
    }
  });

  test('of more than 64 kB is refused before it is read', () => {
    for (const feed of kinds) {
      expect(say(feed, Buffer.alloc(10_000_000, '1'))).toMatchObject({ kind: 'refused', code: 'payload-too-large' });
    }
  });
});

describe('a JSON payload', () => {
  const inside: Feed = { ...runSeconds, pointer: '/engine/seconds', timePointer: '/at' };

  test('is read at its pointers, with the device’s own time', () => {
    const seconds = { engine: { seconds: '120' }, at: 1_800_000_000 };
    expect(say(inside, JSON.stringify(seconds))).toEqual({
      kind: 'run-seconds',
      seconds: 120,
      deviceAtMs: 1_800_000_000_000,
    });
    expect(say(inside, '{"engine":{"seconds":120},"at":"2031-06-14T12:00:00+02:00"}')).toMatchObject({
      deviceAtMs: Date.UTC(2031, 5, 14, 10),
    });
    expect(say(inside, '{"engine":{"seconds":120},"at":"1800000000.5"}')).toMatchObject({
      deviceAtMs: 1_800_000_000_500,
    });
  });

  test.each([
    ['milliseconds', 1_800_000_000_123],
    ['microseconds', 1_800_000_000_123_456],
    ['milliseconds', '1800000000123'],
    ['nanoseconds', '1800000000123456789'],
  ])('names the slip where the device time is in %s', (unit, at) => {
    expect(say(inside, JSON.stringify({ engine: { seconds: 1 }, at }))).toMatchObject({
      kind: 'refused',
      code: 'device-time-unreadable',
      reason: expect.stringContaining(`looks like ${unit}: let the sensor send Unix seconds, here 1800000000`),
    });
  });

  test('takes a local device time for household time', () => {
    expect(say(inside, '{"engine":{"seconds":1},"at":"2031-06-14T12:00:00"}')).toMatchObject({
      deviceAtMs: Date.UTC(2031, 5, 14, 11),
    });
  });

  test('takes true and false for running, and no truth for a number', () => {
    expect(say({ ...runningWords, pointer: '/on' }, '{"on":true}')).toMatchObject({ isRunning: true });
    expect(say({ ...runningWords, pointer: '/on' }, '{"on":0}')).toMatchObject({ isRunning: false });
    expect(say({ ...runSeconds, pointer: '/on' }, '{"on":true}')).toMatchObject({ kind: 'refused' });
  });

  test.each([
    ['not JSON', 'seconds=5', 'payload-unreadable'],
    ['nothing there', '{"engine":{}}', 'nothing-at-pointer'],
    ['null', '{"engine":{"seconds":null},"at":1}', 'payload-unreadable'],
    ['a list', '{"engine":{"seconds":[5]},"at":1}', 'payload-unreadable'],
    ['an object', '{"engine":{"seconds":{"v":5}},"at":1}', 'payload-unreadable'],
    ['no time', '{"engine":{"seconds":5}}', 'device-time-unreadable'],
    ['a time in words', '{"engine":{"seconds":5},"at":"noon"}', 'device-time-unreadable'],
    ['a number beyond all numbers', '{"engine":{"seconds":1e400},"at":1}', 'value-out-of-range'],
    ['JSON of a thousand levels', `${'{"engine":'.repeat(1000)}1${'}'.repeat(1000)}`, 'payload-unreadable'],
    ['sixty thousand brackets', '['.repeat(60_000), 'payload-unreadable'],
  ])('with %s is refused', (_what, payload, code) => {
    expect(say(inside, payload)).toMatchObject({ kind: 'refused', code });
  });
});

describe('a refusal helps whoever sets the sensor up', () => {
  const reasonFor = (feed: Feed, payload: string) => {
    const said = decode(feed, Buffer.from(payload), zone);
    return said.kind === 'refused' ? said.reason : 'not refused';
  };

  test('where JSON comes and no pointer says where to look, it names a place', () => {
    expect(reasonFor(meterHours, '{"hours":2009}')).toBe(
      '"{\\"hours\\":2009}" is not a number; it is JSON, so say where its value stands, such as pointer: /hours',
    );
    expect(reasonFor(runningWords, '{"engine":{"state":"on"}}')).toContain('such as pointer: /engine/state');
    expect(reasonFor(meterHours, '{"hours":')).toBe('"{\\"hours\\":" is not a number');
    expect(reasonFor(meterHours, '{}')).toBe('"{}" is not a number');
    expect(reasonFor(meterHours, 'twelve')).toBe('"twelve" is not a number');
  });

  test('where nothing stands at the pointer, it names what does, or says that none is needed', () => {
    const feed: Feed = { ...runSeconds, pointer: '/seconds' };
    expect(reasonFor(feed, '{"sec":5,"at":"noon","more":{"seconds":7},"last":1}')).toBe(
      'nothing stands at /seconds; there is /sec, /at and /more/seconds',
    );
    expect(reasonFor(feed, '1200')).toBe(
      'nothing stands at /seconds, because the payload is a single value, which is read without a pointer',
    );
    for (const none of ['null', '[1,2]', '{}', '{"a":null}', '{"\\u001b[2J":1}', `{"${'x'.repeat(25)}":1}`]) {
      expect(reasonFor(feed, none)).toBe('nothing stands at /seconds');
    }
  });
});

test('any bytes at all are either read or refused, and nothing is thrown or NaN', () => {
  const feeds = kinds.flatMap((feed): Feed[] => [
    feed,
    { ...feed, pointer: '/v' },
    { ...feed, pointer: '/v', timePointer: '/t' },
  ]);
  const bytes = fc.oneof(
    fc.uint8Array({ maxLength: 200 }).map((array) => Buffer.from(array)),
    fc.json().map((text) => Buffer.from(text)),
    fc.record({ v: fc.jsonValue(), t: fc.jsonValue() }).map((value) => Buffer.from(JSON.stringify(value))),
  );
  fc.assert(
    fc.property(bytes, fc.constantFrom(...feeds), (payload, feed) => {
      const said = decode(feed, payload, zone);
      if (said.kind === 'run-seconds') expect(said.seconds).toBeGreaterThanOrEqual(0);
      if (said.kind === 'meter-hours') expect(said.hours).toBeGreaterThanOrEqual(0);
      if (said.kind === 'voltage') expect(said.volts).toBeGreaterThanOrEqual(0);
      if (said.kind === 'refused') expect(said.reason).not.toBe('');
    }),
  );
});

/** Source: SAE J1939-71, SPN 247 "Engine Total Hours of Operation": bytes 1 to 4 of PGN 65253, little endian, 0.05 h per bit; valid to
 *  FAFFFFFF, above it status codes. Figures read in public tables, not in the standard itself; the frames are computed from them. */
describe('engine hours of an SAE J1939 bus, SPN 247, through scale 0.05', () => {
  const spn247: Feed = { ...meterHours, scale: 0.05 };
  const raw = (frame: string) => Buffer.from(frame, 'hex').readUInt32LE(0);

  test.each([
    ['00000000FFFFFFFF', 0],
    ['01000000FFFFFFFF', 0.05],
    ['14000000FFFFFFFF', 1],
    ['F7000000FFFFFFFF', 12.35],
    ['88130000FFFFFFFF', 250],
    ['0F270000FFFFFFFF', 499.95],
    ['72600000FFFFFFFF', 1234.5],
    ['3F0D0300FFFFFFFF', 9999.95],
    ['801A0600FFFFFFFF', 20_000],
    ['FFFFFFFAFFFFFFFF', 210_554_060.75],
  ])('frame %s shows %d h', (frame, hours) => {
    expect(say(spn247, String(raw(frame)))).toMatchObject({ kind: 'meter-hours', hours });
  });

  test.each([
    ['000000FBFFFFFFFF', 'parameter specific'],
    ['000000FEFFFFFFFF', 'error'],
    ['FFFFFFFFFFFFFFFF', 'not available'],
  ])('frame %s (%s) is refused', (frame) => {
    expect(say(spn247, String(raw(frame)))).toMatchObject({ kind: 'refused', code: 'value-out-of-range' });
  });
});
