import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { parseZone } from '../../src/domain/day.js';
import type { Feed } from '../../src/domain/machine.js';
import { decode } from '../../src/feed/decode/decode.js';
import { meterHours } from '../stage/feeds.js';

/** Frames of engine hours on a tractor's bus: SPN 247 in PGN 65253, bytes 1 to 4, little endian, 0.05 h per bit.
 *  Source: SAE J1939-71 (SPN 247), its figures from independent public tables; the ranges of status codes from memory of its table 1. */
const published = z
  .object({
    spn247: z.object({ resolution_h_per_bit: z.number(), max_valid_raw: z.number(), range_h: z.array(z.number()) }),
    engine_hours_frames: z.array(
      z.object({ data_hex: z.string().length(16), raw: z.number(), hours: z.number().nullable(), status: z.string() }),
    ),
  })
  .parse(JSON.parse(readFileSync(new URL('data/j1939.json', import.meta.url), 'utf8')));
const frames = published.engine_hours_frames;
const zone = parseZone('Europe/Lisbon');

/** As a gateway passes the count on, with the scale that an owner configures. */
const plain: Feed = { ...meterHours, scale: published.spn247.resolution_h_per_bit };
const inJson: Feed = { ...plain, pointer: '/spn247/raw' };

function rawOf(frame: { readonly data_hex: string }): number {
  return Buffer.from(frame.data_hex, 'hex').readUInt32LE(0);
}

test('the published frames hold valid counts and each kind of status code', () => {
  expect(frames.filter(({ hours }) => hours !== null).length).toBeGreaterThan(9);
  expect(frames.filter(({ hours }) => hours === null).length).toBeGreaterThan(2);
  for (const frame of frames) expect(rawOf(frame)).toBe(frame.raw);
});

test.each(frames.filter(({ hours }) => hours !== null))(
  'the frame $data_hex is $hours h, to the last digit',
  (frame) => {
    const said = { kind: 'meter-hours', hours: frame.hours, deviceAtMs: null };
    expect(decode(plain, Buffer.from(String(rawOf(frame))), zone)).toEqual(said);
    expect(decode(inJson, Buffer.from(JSON.stringify({ spn247: { raw: rawOf(frame) } })), zone)).toEqual(said);
  },
);

test.each(frames.filter(({ hours }) => hours === null))('the frame $data_hex ($status) is no hours', (frame) => {
  expect(decode(plain, Buffer.from(String(rawOf(frame))), zone)).toMatchObject({
    kind: 'refused',
    code: 'value-out-of-range',
  });
});

test('the last valid count is the end of the published range, and the next is refused', () => {
  const { max_valid_raw: last, range_h } = published.spn247;
  expect(decode(plain, Buffer.from(String(last)), zone)).toMatchObject({ hours: range_h[1] });
  expect(decode(plain, Buffer.from(String(last + 1)), zone)).toMatchObject({ kind: 'refused' });
});
