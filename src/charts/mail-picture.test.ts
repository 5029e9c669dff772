import { expect, test } from 'vitest';
import { parseDay, parseZone } from '../domain/day.js';
import { drawMailPicture } from './mail-picture.js';

const dayMs = 86_400_000;
const input = {
  trace: { atMs: [0, 30 * dayMs, 60 * dayMs], p10: [10, 18, 22], p50: [10, 20, 30], p90: [10, 22, 38] },
  readings: [{ atMs: 0, hours: 10 }],
  runs: [],
  targets: [{ hours: 25, text: '25 h, Oil', due: { from: parseDay('1970-02-10'), to: parseDay('1970-02-28') } }],
  nowMs: 30 * dayMs,
  meterSinceMs: null,
  zone: parseZone('UTC'),
  title: 'Hours',
  description: 'Now 20 h.',
  id: 'hours',
};

test('the drawing stands alone: its colours are inside, on an opaque paper larger than all that is drawn', () => {
  const svg = drawMailPicture(input);
  expect(svg).toContain('<rect x="-12" y="-12" width="364" height="288" rx="6" fill="#faf7ef"/>');
  for (const [, classes] of svg.matchAll(/class="([^"]+)"/g)) {
    for (const name of (classes ?? '').split(' ')) {
      if (name !== 'hours' && name !== 'lane-0') expect(svg).toContain(`.${name}{`);
    }
  }
});

test('the same hours give the same drawing, and nothing to draw gives none', () => {
  expect(drawMailPicture(input)).toBe(drawMailPicture({ ...input }));
  expect(drawMailPicture({ ...input, trace: { atMs: [], p10: [], p50: [], p90: [] } })).toBe('');
});
