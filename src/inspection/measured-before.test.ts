import { expect, test } from 'vitest';
import { dayNumber, dayNumbered, parseDay } from '../domain/day.js';
import type { Finding, ServiceRecord } from '../domain/facts.js';
import type { Measurement } from '../domain/task.js';
import { measuredTrends } from './measured-before.js';

const belt: Measurement = {
  id: 'deflection',
  name: 'deflection',
  specification: { kind: 'range', min: '7 mm', max: '12 mm' },
  resolution: '0.5 mm',
};

function records(values: readonly (readonly [number, string, string?])[], place: string | null = null) {
  return values.map(([hours, found, left], at): ServiceRecord => {
    const finding: Finding = {
      task: 'belt',
      measurement: 'deflection',
      place,
      found,
      left: left ?? null,
      verdict: null,
      note: null,
    };
    return {
      id: `record-${at}`,
      machine: 'hill-mower',
      visit: null,
      tasks: ['belt'],
      day: dayNumbered(dayNumber(parseDay('2030-03-01')) + 30 * at),
      hours,
      hoursKnown: 'read',
      by: null,
      door: 'page',
      note: null,
      minutes: null,
      findings: [finding],
      enteredAtMs: at,
    };
  });
}

test('a belt that slackens evenly is said to be out of range where its line passes the limit', () => {
  const [trend] = measuredTrends(
    'belt',
    belt,
    records([
      [400, '8 mm'],
      [450, '8.5 mm'],
      [500, '9 mm'],
      [550, '9.5 mm'],
    ]),
  );
  // 1 mm in 100 h, 2.5 mm still to go from 550 h.
  expect(trend?.outAtHours).toBeCloseTo(800, 6);
  expect(trend?.mayBeOutAtHours).toBeLessThan(800);
  expect(trend?.mayBeOutAtHours).toBeGreaterThan(550);
  expect(trend?.text).toMatch(
    /^4 values since 400 h: about 1 mm more every 100 h; likely out of range at about 800 h, perhaps from \d+ h on\.$/,
  );
});

test('what was set begins anew: the values before it are no part of the line', () => {
  const before = [
    [300, '9 mm'],
    [350, '11 mm'],
    [400, '13 mm', '8 mm'],
  ] as const;
  expect(measuredTrends('belt', belt, records(before))).toEqual([]);
  const after = records([...before, [450, '8.5 mm'], [500, '9 mm']]);
  expect(measuredTrends('belt', belt, after)[0]).toMatchObject({ values: 3, place: null });
  expect(measuredTrends('belt', belt, after)[0]?.outAtHours).toBeCloseTo(800, 6);
});

test('scatter alone is no drift, and no day of failing is named for it', () => {
  const [trend] = measuredTrends(
    'belt',
    belt,
    records([
      [400, '9 mm'],
      [450, '9.5 mm'],
      [500, '8.5 mm'],
      [550, '9.5 mm'],
    ]),
  );
  expect(trend).toMatchObject({ outAtHours: null, text: '4 values since 400 h: no clear drift.' });
});

test('units are told apart: inches and millimetres are one line', () => {
  const [trend] = measuredTrends(
    'belt',
    belt,
    records([
      [400, '8 mm'],
      [500, '0.354330708661 in'],
      [600, '10 mm'],
    ]),
  );
  expect(trend?.outAtHours).toBeCloseTo(800, 3);
});

test('a place has a line of its own, unreadable values and unknown hours are passed over, looks have none', () => {
  const own = records(
    [
      [400, '8 mm'],
      [450, '7 psi'],
      [500, '9 mm'],
      [600, '10 mm'],
    ],
    'left',
  ).map((record, at) => (at === 2 ? { ...record, hours: null } : record));
  expect(measuredTrends('belt', { ...belt, places: ['left', 'right'] }, own)).toEqual([]);
  const look: Measurement = { id: 'deflection', name: 'belt', specification: { kind: 'look', sound: 'no cracks' } };
  expect(
    measuredTrends(
      'belt',
      look,
      records([
        [1, 'sound'],
        [2, 'sound'],
        [3, 'sound'],
      ]),
    ),
  ).toEqual([]);
});

test('a drift is said in what the tools of the household show', () => {
  const values = records([
    [400, '8 mm'],
    [450, '8.5 mm'],
    [500, '9 mm'],
  ]);
  const [trend] = measuredTrends('belt', belt, values, 'us');
  // 1 mm in 100 h; 25.4 mm are one inch (NIST SP 811, App. B.8).
  expect(trend?.text).toContain('about 0.039 in more every 100 h; likely out of range at about 800 h');
});
