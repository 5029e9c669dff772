import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { atDay, someFacts, someHousehold, someMachine, someTask } from '../../tests/stage/small-machine.js';
import { type Day, dayMs, dayNumber, dayOf, hourMs, minuteMs, parseDay } from '../domain/day.js';
import type { MachineFacts, ServiceRecord, ToldRun } from '../domain/facts.js';
import type { Due } from '../domain/results/due.js';
import { hoursQuantiles, pReached } from '../hours/at.js';
import { estimateHours, type HoursEstimate } from '../hours/estimate.js';
import { gatherEvidence } from '../hours/evidence.js';
import { foresee } from '../hours/foresee.js';
import { curveAt } from './curve.js';
import { forecastDues } from './due.js';

const household = someHousehold();
const filter = someTask('filter', { every: { hours: 12 } });
const cutter = someMachine([filter], {
  meter: { kind: 'none' },
  expect: { hoursPerYear: 14, season: 'unknown' },
  last: { filter: { kind: 'fine-as-bought' } },
});

function told(runs: readonly (readonly [number, number])[]): ToldRun[] {
  return runs.map(([atMs, minutes], i) => ({ id: `t${i}`, atMs, minutes, by: null }));
}

function estimated(atMs: number, hours: number): ServiceRecord {
  const [record] = someFacts([], [[dayOf(atMs, household.zone), hours, ['filter']]]).records;
  if (record === undefined) throw new Error('one record was given');
  return { ...record, hoursKnown: 'estimated', enteredAtMs: atMs };
}

function estimateOf(machine: typeof cutter, facts: MachineFacts, nowMs: number): HoursEstimate {
  const estimate = estimateHours(gatherEvidence(machine, facts, 'north'), nowMs);
  if (estimate === null) throw new Error('something is known');
  return estimate;
}

function look(facts: MachineFacts, nowMs: number, machine = cutter) {
  const estimate = estimateOf(machine, facts, nowMs);
  const due = forecastDues(machine, facts, estimate, household, nowMs)[0];
  if (due === undefined) throw new Error('one task is planned');
  const hoursNow = hoursQuantiles(estimate, nowMs, [0.1, 0.5, 0.9]);
  return { estimate, due, hoursNow };
}

const pBy = (due: Due, day: Day) => (due.curve === null ? 0 : curveAt(due.curve, day));

describe('work written down with hours that turned out wrong', () => {
  const tractor = someMachine([filter], { expect: { hoursPerYear: 14, season: 'unknown' } });
  const wrong = (readings: MachineFacts['readings']) => {
    const facts = someFacts([], [[parseDay('2031-06-20'), 580, ['filter']]]);
    return look({ ...facts, readings }, atDay('2031-07-20'), tractor);
  };
  const read = (day: string, hours: number) => someFacts([[day, hours]]).readings;

  test('counts its next interval from that moment, once the reading is taken back and a lower one stands', () => {
    const { due, hoursNow } = wrong([...read('2031-06-10', 390), ...read('2031-07-19', 393)]);
    expect(due.countedFrom).not.toBeNull();
    expect(due.targetHours).toBeGreaterThan(390 + 12);
    expect(due.targetHours).toBeLessThanOrEqual((hoursNow[1] ?? 0) + 12);
  });

  test('stands as written while its own reading does', () => {
    const { due } = wrong([...read('2031-06-10', 390), ...read('2031-06-20', 580)]);
    expect(due).toMatchObject({ countedFrom: null, targetHours: 592 });
  });
});

describe('work done while nobody had read the meter', () => {
  const runs = told([[atDay('2031-09-26', 19), 60]]);
  const doneMs = atDay('2032-04-25', 10);
  const nowMs = atDay('2032-04-25');

  test('starts its interval anew: what was not known of the hours then does not make it due now', () => {
    const before = look({ ...someFacts([]), toldRuns: runs }, nowMs);
    const [low = 0, middle = 0, high = 0] = before.hoursNow;
    expect(high - low).toBeGreaterThan(8);
    const { due } = look({ ...someFacts([]), toldRuns: runs, records: [estimated(doneMs, middle)] }, nowMs);
    expect(due.countedFrom?.atMs).toBe(doneMs);
    // Against a fixed figure from the estimate, with all the doubt of today, it looks much nearer.
    const pFixed = pReached(before.estimate, middle + 12, atDay('2032-05-10'));
    expect(pFixed).toBeGreaterThan(0.05);
    expect(pBy(due, parseDay('2032-05-10'))).toBeLessThan(pFixed / 5);
  });

  test('looking ahead from it, the hours since then start at none', () => {
    const { estimate, due } = look({ ...someFacts([]), toldRuns: runs, records: [estimated(doneMs, 4)] }, nowMs);
    const seen = foresee(estimate);
    const ahead = (days: number) => seen.hoursQuantiles(nowMs + days * dayMs, [0.1, 0.9], due.countedFrom);
    const [low = 0, high = 0] = ahead(0).map((hours) => hours - (due.lastHours ?? 0));
    expect(low).toBeGreaterThanOrEqual(0);
    expect(high).toBeLessThan(0.5);
    expect((ahead(200)[1] ?? 0) - (due.lastHours ?? 0)).toBeGreaterThan(2);
  });

  test('the hours said of it follow what is told since, and never pass the hours now', () => {
    const record = estimated(doneMs, 11.5);
    const later = told([
      [atDay('2031-09-26', 19), 60],
      [atDay('2032-04-27', 19), 40],
    ]);
    const { due, hoursNow } = look({ ...someFacts([]), toldRuns: later, records: [record] }, atDay('2032-04-28'));
    expect(due.lastHours).toBeCloseTo(1, 6);
    expect(due.targetHours).toBeCloseTo(13, 6);
    expect(due.lastHours ?? 0).toBeLessThanOrEqual(hoursNow[1] ?? 0);
  });

  test('with hours that were read nothing is said anew', () => {
    const mower = someMachine([filter]);
    const facts = someFacts(
      [
        ['2031-03-01', 100],
        ['2031-05-01', 108],
        ['2031-07-01', 114],
      ],
      [['2031-05-01', 108, ['filter']]],
    );
    expect(look(facts, atDay('2031-07-20'), mower).due).toMatchObject({
      targetHours: 120,
      lastHours: 108,
      countedFrom: null,
    });
  });

  test('between two readings far apart, the doubt of that day is the doubt of the due day', () => {
    const mower = someMachine([filter]);
    const facts: MachineFacts = {
      ...someFacts([
        ['2030-01-05', 100],
        ['2031-07-01', 114],
      ]),
      records: [estimated(atDay('2030-10-01'), 107)],
    };
    const { estimate, due } = look(facts, atDay('2031-07-02'), mower);
    const [low = 0, high = 0] = hoursQuantiles(estimate, atDay('2030-10-01'), [0.1, 0.9]);
    expect(high - low).toBeGreaterThan(2);
    const day = parseDay('2031-09-01');
    const pFixed = (hours: number) => pReached(estimate, hours + 12, atDay('2031-09-01', 24));
    expect(pBy(due, day)).toBeLessThan(pFixed(low));
    expect(pBy(due, day)).toBeGreaterThan(pFixed(high));
  });
});

interface Told {
  readonly runs: readonly { readonly daysApart: number; readonly minutes: number; readonly isTold: boolean }[];
  readonly doneAfter: number;
}

/** An owner who tells six runs in ten, and does the work once without knowing the hours. */
const owner: fc.Arbitrary<Told> = fc.record({
  runs: fc.array(
    fc.record({
      daysApart: fc.integer({ min: 2, max: 40 }),
      minutes: fc.integer({ min: 10, max: 120 }),
      isTold: fc.integer({ min: 1, max: 10 }).map((n) => n <= 6),
    }),
    { minLength: 3, maxLength: 20 },
  ),
  doneAfter: fc.integer({ min: 0, max: 400 }),
});

/** The looks right before and right after each told run. */
function eachTelling({ runs, doneAfter }: Told) {
  const startMs = atDay('2030-03-01', 18);
  let atMs = startMs;
  const known: [number, number][] = [];
  const looks: { before: ReturnType<typeof look>; after: ReturnType<typeof look> }[] = [];
  const doneMs = startMs + doneAfter * dayMs + 3 * hourMs;
  let record: ServiceRecord | null = null;
  for (const run of runs) {
    atMs += run.daysApart * dayMs;
    if (!run.isTold) continue;
    const facts = (runsNow: readonly [number, number][]): MachineFacts => ({
      ...someFacts([]),
      toldRuns: told(runsNow),
      records: record === null ? [] : [record],
    });
    if (record === null && doneMs < atMs) {
      const then = hoursQuantiles(estimateOf(cutter, facts(known), doneMs), doneMs, [0.5]);
      record = estimated(doneMs, then[0] ?? 0);
    }
    const before = look(facts(known), atMs - run.minutes * minuteMs);
    known.push([atMs, run.minutes]);
    looks.push({ before, after: look(facts(known), atMs) });
  }
  return looks;
}

describe('where six runs in ten are told', () => {
  test('a telling never moves the due day earlier than the doubt before it allowed', () => {
    let tellings = 0;
    let surprises = 0;
    fc.assert(
      fc.property(owner, (one) => {
        for (const { before, after } of eachTelling(one)) {
          const day = after.due.day?.p50;
          if (day === undefined || before.due.day === null) continue;
          tellings += 1;
          if (dayNumber(day) < dayNumber(before.due.day.p10)) surprises += 1;
          expect(pBy(before.due, day)).toBeGreaterThan(0.003);
        }
      }),
      { numRuns: 30 },
    );
    expect(surprises / tellings).toBeLessThan(0.1);
  });

  test('the hours of work done are never more than the hours now', () => {
    fc.assert(
      fc.property(owner, (one) => {
        for (const { before, after } of eachTelling(one)) {
          for (const { due, hoursNow } of [before, after]) {
            if (due.lastHours !== null) expect(due.lastHours).toBeLessThanOrEqual((hoursNow[1] ?? 0) + 1e-6);
          }
        }
      }),
      { numRuns: 30 },
    );
  });
});
