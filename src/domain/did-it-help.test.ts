import fc from 'fast-check';
import { expect, it } from 'vitest';
import { dayMs, hourMs } from './day.js';
import { helpQuestions } from './did-it-help.js';
import { type Noticed, noFacts } from './facts.js';

const doneMs = Date.parse('2031-05-10T15:00:00Z');
const hum: Noticed = {
  id: 'noticed-1',
  atMs: doneMs - 20 * dayMs,
  text: 'the lift hums',
  state: 'answered',
  seenTo: { atMs: doneMs, record: 'record-1' },
  helped: [],
};
const facts = { ...noFacts('pump'), noticed: [hum] };
const reading = (atMs: number, hours: number) => ({
  id: `reading-${hours}`,
  atMs,
  hours,
  about: false,
  door: 'page' as const,
  by: null,
});
const asked = (known: typeof facts, nowMs: number) => helpQuestions(known, nowMs).map((one) => one.noticed.id);

it('what is open, or was seen to just now, is not asked about', () => {
  const open = { ...hum, state: 'open' as const, seenTo: null };
  expect(asked({ ...facts, noticed: [open] }, doneMs + 30 * dayMs)).toEqual([]);
  expect(asked(facts, doneMs)).toEqual([]);
});

it('where nobody knows of any use it is asked after fourteen days', () => {
  expect(asked(facts, doneMs + 14 * dayMs - 1)).toEqual([]);
  expect(helpQuestions(facts, doneMs + 14 * dayMs)).toEqual([
    { noticed: hum, seenToAtMs: doneMs, sinceMs: doneMs + 14 * dayMs },
  ]);
});

it('half an hour on the meter since the visit brings it at once; the reading of the visit itself does not', () => {
  const visit = [reading(doneMs - dayMs, 200), reading(doneMs, 206.1)];
  const now = doneMs + 2 * dayMs;
  expect(asked({ ...facts, readings: visit }, now)).toEqual([]);
  expect(asked({ ...facts, readings: [...visit, reading(doneMs + hourMs, 206.5)] }, now)).toEqual([]);
  expect(asked({ ...facts, readings: [...visit, reading(doneMs + dayMs, 206.6)] }, now)).toEqual(['noticed-1']);
});

it('so do the sensor’s runs and those that were told, added up', () => {
  const run = (fromHours: number, minutes: number) => ({
    fromMs: doneMs + fromHours * hourMs,
    toMs: doneMs + fromHours * hourMs + minutes * 60_000,
  });
  const now = doneMs + 2 * dayMs;
  // The one that goes over the moment of the visit counts from there.
  expect(asked({ ...facts, runs: [run(-1, 80), run(5, 9)] }, now)).toEqual([]);
  expect(asked({ ...facts, runs: [run(-1, 80), run(5, 10)] }, now)).toEqual(['noticed-1']);
  const told = (minutes: number) => ({ id: 'run-1', atMs: doneMs + dayMs, minutes, by: null });
  expect(asked({ ...facts, toldRuns: [told(20)] }, now)).toEqual([]);
  expect(asked({ ...facts, toldRuns: [told(20), told(10)] }, now)).toEqual(['noticed-1']);
});

it('it is asked once: any answer about this seeing to ends it, an answer about an earlier one does not', () => {
  for (const answer of ['yes', 'cannot-tell'] as const) {
    const said = { id: 'helped-1', answer, atMs: doneMs + dayMs, by: null, seenToAtMs: doneMs, record: null };
    expect(asked({ ...facts, noticed: [{ ...hum, helped: [said] }] }, doneMs + 90 * dayMs)).toEqual([]);
  }
  const before = {
    id: 'helped-1',
    answer: 'no' as const,
    atMs: doneMs - 5 * dayMs,
    by: null,
    seenToAtMs: doneMs - 9 * dayMs,
    record: null,
  };
  expect(asked({ ...facts, noticed: [{ ...hum, helped: [before] }] }, doneMs + 90 * dayMs)).toEqual(['noticed-1']);
});

it('a question never closes by waiting', () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.integer({ min: -50, max: 400 }), fc.integer({ min: 1, max: 120 })), { maxLength: 8 }),
      fc.integer({ min: 0, max: 500 }),
      fc.integer({ min: 0, max: 500 }),
      (spans, a, b) => {
        const runs = spans
          .map(([at, minutes]) => ({ fromMs: doneMs + at * hourMs, toMs: doneMs + at * hourMs + minutes * 60_000 }))
          .sort((one, other) => one.fromMs - other.fromMs);
        const known = { ...facts, runs };
        const [sooner, later] = [Math.min(a, b), Math.max(a, b)].map((hours) => doneMs + hours * hourMs);
        expect(asked(known, sooner ?? 0).length).toBeLessThanOrEqual(asked(known, later ?? 0).length);
      },
    ),
  );
});
