import { expect, test } from 'vitest';
import { dayMs, parseDay, parseZone } from '../domain/day.js';
import { drawHours, type HoursInput } from './hours-over-time.js';

const fromMs = Date.UTC(2030, 5, 1);

function draw(changes: Partial<HoursInput>): string {
  const atMs = Array.from({ length: 25 }, (_, index) => fromMs + index * 15 * dayMs);
  return drawHours({
    trace: {
      atMs,
      p10: atMs.map((_, index) => 300 + index * 4),
      p50: atMs.map((_, index) => 300 + index * 5),
      p90: atMs.map((_, index) => 300 + index * 6),
    },
    readings: [{ atMs: fromMs, hours: 300 }],
    runs: [],
    targets: [],
    nowMs: fromMs + 180 * dayMs,
    meterSinceMs: null,
    zone: parseZone('UTC'),
    title: 'Hours',
    description: 'About 386 h.',
    id: 'hours',
    ...changes,
  });
}

test('each reading is a point and the estimate a band with a line', () => {
  const svg = draw({
    readings: [
      { atMs: fromMs, hours: 300 },
      { atMs: fromMs + 30 * dayMs, hours: 310 },
    ],
  });
  expect(svg.match(/class="reading"/g)).toHaveLength(2);
  expect(svg).toContain('class="span');
  expect(svg).toContain('class="estimate"');
});

test('a later instant stands further right and more hours further up', () => {
  const svg = draw({
    readings: [
      { atMs: fromMs, hours: 300 },
      { atMs: fromMs + 300 * dayMs, hours: 400 },
    ],
  });
  const [first, second] = [...svg.matchAll(/class="reading" cx="([\d.]+)" cy="([\d.]+)"/g)].map((found) => ({
    x: Number(found[1]),
    y: Number(found[2]),
  }));
  expect(second?.x).toBeGreaterThan(first?.x ?? Number.NaN);
  expect(second?.y).toBeLessThan(first?.y ?? Number.NaN);
});

test('names of targets close together do not collide', () => {
  const svg = draw({ targets: [400, 401, 402].map((hours) => ({ hours, text: `at ${hours}`, due: null })) });
  const tops = [...svg.matchAll(/class="target-name" x="[\d.]+" y="([\d.]+)"/g)].map((found) => Number(found[1]));
  expect(tops).toHaveLength(3);
  const sorted = [...tops].sort((a, b) => a - b);
  sorted.forEach((top, index) => {
    const next = sorted[index + 1];
    if (next !== undefined) expect(next - top).toBeGreaterThanOrEqual(14.9);
  });
});

test('no line of a target goes through a name', () => {
  const svg = draw({ targets: [396, 397, 401].map((hours) => ({ hours, text: `${hours} h`, due: null })) });
  const lines = [...svg.matchAll(/class="target-line" d="M[\d.]+ ([\d.]+)H/g)].map((found) => Number(found[1]));
  const baselines = [...svg.matchAll(/class="target-name[^"]*" x="[\d.]+" y="([\d.]+)"/g)].map((found) =>
    Number(found[1]),
  );
  expect([lines.length, baselines.length]).toEqual([3, 3]);
  for (const baseline of baselines) {
    expect(lines.filter((y) => y > baseline - 10 && y < baseline + 2)).toEqual([]);
  }
});

test('no name of a target lies on the estimate', () => {
  const svg = draw({
    targets: [380, 392, 404].map((hours) => ({ hours, text: `${hours} h: grease axle`, due: null })),
  });
  const estimate = /class="estimate" d="([^"]+)"/.exec(svg)?.[1] ?? '';
  const points = [...estimate.matchAll(/([\d.]+),([\d.]+)/g)].map((found) => ({
    x: Number(found[1]),
    y: Number(found[2]),
  }));
  const names = [...svg.matchAll(/class="target-name( end)?" x="([\d.]+)" y="([\d.]+)"/g)];
  expect(points.length).toBeGreaterThan(20);
  expect(names).toHaveLength(3);
  for (const [, end, x, baseline] of names) {
    const from = end === undefined ? Number(x) : Number(x) - 130;
    const onIt = points.filter(
      (point) => point.x >= from && point.x <= from + 130 && Math.abs(point.y - (Number(baseline) - 5)) < 7,
    );
    expect(onIt).toEqual([]);
  }
});

test('a target far above all hours is left out instead of flattening the curve', () => {
  expect(draw({ targets: [{ hours: 5000, text: 'far', due: null }] })).not.toContain('far');
});

test('the likely span of coming due lies on the date axis', () => {
  const due = { from: parseDay('2031-02-01'), to: parseDay('2031-03-01') };
  expect(draw({ targets: [{ hours: 400, text: 'oil', due }] })).toContain('class="due"');
});

test('with nothing known there is no drawing rather than a wrong one', () => {
  expect(draw({ trace: { atMs: [], p10: [], p50: [], p90: [] }, readings: [] })).toBe('');
});

test('equal hours throughout still give finite coordinates', () => {
  const atMs = [fromMs, fromMs + dayMs];
  const flat = [5, 5];
  expect(draw({ trace: { atMs, p10: flat, p50: flat, p90: flat }, readings: [] })).not.toMatch(/NaN|Infinity/);
});

test('what people wrote cannot become markup', () => {
  expect(draw({ title: '<b>', targets: [{ hours: 350, text: '<script>', due: null }] })).not.toMatch(/<b>|<script>/);
});

test('hours of a replaced meter are drawn from the new one on, so that points and band share one scale', () => {
  const atMs = Array.from({ length: 25 }, (_, index) => fromMs + index * 15 * dayMs);
  const carried = atMs.map((_, index) => -60 + index * 12);
  const svg = draw({
    trace: { atMs, p10: carried, p50: carried, p90: carried },
    readings: [
      { atMs: fromMs + 15 * dayMs, hours: 1400 },
      { atMs: fromMs + 105 * dayMs, hours: 24 },
    ],
    meterSinceMs: fromMs + 75 * dayMs,
  });
  expect(svg.match(/class="reading"/g)).toHaveLength(1);
  const scale = [...svg.matchAll(/class="scale end"[^>]*>([^<]*)</g)].map(([, text]) => Number(text));
  expect(Math.min(...scale)).toBe(0);
  expect(Math.max(...scale)).toBeLessThan(400);
});
