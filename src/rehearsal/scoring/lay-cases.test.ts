import { expect, test } from 'vitest';
import { dayMs } from '../../domain/day.js';
import { seededRandom } from '../random.js';
import { withFeed } from './feed-cases.js';
import { inventOwners } from './invented-owners.js';
import { layCases } from './lay-cases.js';
import { sumUp, usedBy } from './series.js';

const owners = inventOwners(4, seededRandom(7));
const cases = owners.flatMap((owner) => layCases(owner, 5, seededRandom(11)));

test('the same seed invents the same owners', () => {
  expect(inventOwners(4, seededRandom(7))).toEqual(owners);
});

test('nobody runs a machine more than a day a day, and everybody runs it', () => {
  for (const { hours } of owners) {
    expect(Math.max(...hours)).toBeLessThanOrEqual(24);
    expect(Math.min(...hours)).toBe(0);
    expect(hours.reduce((sum, one) => sum + one, 0)).toBeGreaterThan(20);
  }
});

test('a summer machine rests in winter', () => {
  const mower = owners.find((owner) => owner.word === 'summer' && owner.character === 'seasonal');
  const inMonth = (month: number) =>
    mower?.hours.reduce(
      (sum, one, d) => (new Date((mower.firstDay + d) * dayMs).getUTCMonth() === month ? sum + one : sum),
      0,
    ) ?? 0;
  expect(inMonth(0)).toBe(0);
  expect(inMonth(5)).toBeGreaterThan(20);
});

test('questions hold readings up to now only, rising, and the truth of each is the series', () => {
  expect(cases.length).toBe(owners.length * 5);
  for (const { question, series, trueDueDays, trueHoursNow, openDays } of cases) {
    const times = question.readings.map((reading) => reading.atMs);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect(times.at(-1) ?? 0).toBeLessThanOrEqual(question.nowMs);
    const sums = sumUp(series.hours);
    const now = question.nowMs / dayMs - series.firstDay;
    expect(openDays).toBeCloseTo(series.hours.length - now, 6);
    if (trueDueDays === null) continue;
    const risen = usedBy(sums, now + trueDueDays) - usedBy(sums, now);
    expect(trueHoursNow + risen).toBeCloseTo(question.targetHours, 6);
  }
});

test('a feed misses about three days in ten and counts the rest in its own hours', () => {
  const fed = cases.flatMap((one) => withFeed(one, seededRandom(13)) ?? []);
  const sum = (spans: readonly { fromMs: number; toMs: number }[]) =>
    spans.reduce((total, span) => total + span.toMs - span.fromMs, 0);
  const seen = fed.reduce((total, { scored }) => total + sum(scored.question.coverage), 0);
  const all = fed.reduce(
    (total, { scored: { question } }) => total + question.nowMs - (question.readings[0]?.atMs ?? 0),
    0,
  );
  expect(seen / all).toBeGreaterThan(0.6);
  expect(seen / all).toBeLessThan(0.8);
  for (const { scored } of fed) expect(sum(scored.question.runs)).toBeLessThanOrEqual(sum(scored.question.coverage));
});
