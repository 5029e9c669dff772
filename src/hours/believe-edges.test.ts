import { describe, expect, test } from 'vitest';
import { atDay, someFacts, someHousehold, someMachine } from '../../tests/stage/small-machine.js';
import { dayMs, hourMs, minuteMs } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import { type Belief, believeReading } from './believe.js';
import { gatherEvidence } from './evidence.js';
import type { OtherMachine } from './likely-slip.js';

const household = someHousehold();
const mower = someMachine([]);

function judge(
  facts: MachineFacts,
  hours: number,
  atMs: number,
  {
    machine = mower,
    nowMs = atMs,
    others = [],
  }: { machine?: Machine; nowMs?: number; others?: readonly OtherMachine[] } = {},
): Belief {
  const evidence = gatherEvidence(machine, facts, household.hemisphere);
  return believeReading(machine, evidence, household, { hours, atMs }, nowMs, () => others);
}
const said = (belief: Belief) =>
  belief.kind === 'believed' ? '' : belief.kind === 'refused' ? belief.fault.line : belief.question;

describe('a first value that is known only roughly', () => {
  const roughly = someMachine([], {
    meter: {
      kind: 'meter',
      counts: 'clock',
      changes: [],
      first: { hours: 150, atMs: atDay('2030-01-05'), about: true },
    },
  });
  const papers = someFacts([
    ['2028-01-05', 120],
    ['2030-06-05', 160],
  ]);

  test('hides no reading before or after it that a meter cannot contradict', () => {
    const older = someFacts([['2028-01-05', 120]]);
    expect(judge(older, 100, atDay('2030-02-05'), { machine: roughly })).toMatchObject({
      kind: 'refused',
      fault: { code: 'reading-below-last' },
    });
    expect(judge(papers, 200, atDay('2029-06-05'), { machine: roughly, nowMs: atDay('2030-07-05') })).toMatchObject({
      kind: 'refused',
      fault: { code: 'reading-above-later' },
    });
  });

  test('is itself no bound: less is asked about, not refused', () => {
    expect(judge(papers, 140, atDay('2030-02-05'), { machine: roughly, nowMs: atDay('2030-07-05') }).kind).toBe(
      'questionable',
    );
  });
});

test('steps that are each within what a meter rounds do not add up', () => {
  const start = atDay('2030-10-05');
  const steps = (hours: readonly number[], next: number) => {
    const facts = someFacts(hours.map((value) => ['2030-10-05', value]));
    const readings = facts.readings.map((one, i) => ({ ...one, atMs: start + i * minuteMs }));
    const belief = judge({ ...facts, readings }, next, start + hours.length * minuteMs);
    return belief.kind === 'refused' ? belief.fault.code : belief.kind;
  };
  expect(steps([640.1], 640.3)).toBe('believed');
  expect(steps([640.1, 640.3], 640.5)).toBe('reading-too-fast');
  expect(steps([640], 641)).toBe('believed');
  expect(steps([640, 641], 642)).toBe('reading-too-fast');
});

describe('a meter that shows whole hours', () => {
  test('may step by one digit without being asked whether it stood', () => {
    const few = someFacts([
      ['2029-10-05', 96],
      ['2030-10-05', 101],
    ]);
    expect(said(judge(few, 103, atDay('2030-10-20')))).toBe('');
  });

  test('rounds by an hour on a meter that was replaced since, too', () => {
    const changes = [{ atMs: atDay('2030-06-20'), lastHours: 1203.4, firstHours: 0 }];
    const machine = someMachine([], { meter: { kind: 'meter', counts: 'clock', changes } });
    for (const hours of [300, 301, 512, 700, 999]) {
      const before = someFacts([['2030-05-05', hours]]);
      const at = atDay('2030-05-05') + 10 * minuteMs;
      expect(said(judge(before, hours + 1, at, { machine, nowMs: atDay('2030-07-05') })), String(hours)).toBe('');
    }
  });
});

describe('beside a feed', () => {
  const startMs = atDay('2030-01-05', 6);
  /** Three hours every third day, of which the meter shows so many each; read every 30 days. */
  const watched = (shown: number, days: number): MachineFacts => {
    const runs = Array.from({ length: Math.ceil(days / 3) }, (_, i) => ({
      fromMs: startMs + i * 3 * dayMs,
      toMs: startMs + i * 3 * dayMs + 3 * hourMs,
    }));
    const facts = someFacts(Array.from({ length: 10 }, (_, i) => ['2030-01-05', 500 + i * 10 * shown]));
    const readings = facts.readings.map((one, i) => ({ ...one, atMs: startMs - hourMs + i * 30 * dayMs }));
    return { ...facts, readings, runs, coverage: [{ fromMs: startMs - dayMs, toMs: startMs + days * dayMs }] };
  };

  test('a meter may be a little off what was seen', () => {
    const at = startMs + 300 * dayMs - hourMs;
    const facts = watched(2.5, 301);
    for (const hours of [749, 750, 751, 752]) expect(said(judge(facts, hours, at)), String(hours)).toBe('');
    expect(judge(facts, 795, at).kind).toBe('questionable');
  });

  test('also between two readings', () => {
    const facts = watched(2.5, 301);
    const far = { ...facts, readings: facts.readings.filter((_, i) => i % 9 === 0) };
    const at = startMs + 150 * dayMs - hourMs;
    const asked = (hours: number) => said(judge(far, hours, at, { nowMs: startMs + 301 * dayMs }));
    // Fifty of ninety runs were seen by then, which is 125 h.
    for (const hours of [618, 622, 625, 628, 632]) expect(asked(hours), String(hours)).toBe('');
    expect(asked(560)).toContain('Is it right?');
  });
});

test('what is named for a reading between two others is believed itself', () => {
  const steady = someFacts(
    Array.from({ length: 40 }, (_, i): [string, number] => [
      new Date(Date.UTC(2030, 0, 5 + i * 7)).toISOString().slice(0, 10),
      100 + 7 * i,
    ]).concat([['2031-03-01', 520]]),
  );
  const at = atDay('2031-01-01');
  const nowMs = atDay('2031-04-01');
  let named = 0;
  for (let typed = 1; typed < 1000; typed += 7) {
    const meant = /Did you mean ([\d.]+) h/.exec(said(judge(steady, typed, at, { nowMs })))?.[1];
    if (meant === undefined) continue;
    named += 1;
    expect(said(judge(steady, Number(meant), at, { nowMs })), `${typed}: ${meant}`).toBe('');
  }
  expect(named).toBeGreaterThan(20);
});

test('another machine is said to fit better only where it does', () => {
  const facts = someFacts([
    ['2030-04-10', 120.4],
    ['2030-06-08', 127.9],
    ['2030-08-03', 134.2],
    ['2030-10-05', 139.6],
  ]);
  const at = atDay('2030-11-20');
  const asked = (hours: number) =>
    said(
      judge(facts, hours, at, { others: [{ name: 'Saw bench', hoursNow: { p10: hours, p50: hours, p90: hours } }] }),
    );
  expect(asked(151.3)).toMatch(/151\.3 h fits Saw bench too\. Was it read there\?/);
  expect(asked(231.3)).toMatch(/231\.3 h fits Saw bench better\. Was it read there\?/);
});

test('hours are told with the digits that tell them apart', () => {
  const facts = someFacts([['2030-10-05', 139.6]]);
  expect(said(judge(facts, 139.55, atDay('2030-11-20')))).toMatch(/139\.6 h on .*found 139\.55 h/);
});

test('very many readings are no trouble', () => {
  const facts = someFacts([['2030-10-05', 139.6]]);
  const first = facts.readings[0];
  if (first === undefined) throw new Error('no reading');
  const readings = Array.from({ length: 200_000 }, (_, i) => ({
    ...first,
    atMs: first.atMs - (200_000 - i) * hourMs,
    hours: Math.round(i / 10) / 10,
  }));
  const at = first.atMs + dayMs;
  expect(judge({ ...facts, readings }, 1, at)).toMatchObject({ fault: { code: 'reading-below-last' } });
});
