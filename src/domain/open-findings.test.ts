import { expect, it } from 'vitest';
import { aDay, someFacts, someMachine, someTask } from '../../tests/stage/small-machine.js';
import type { Finding, ServiceRecord } from './facts.js';
import { isUnsafeWhenOut, openFindings, tasksLeftOut, tasksPartlyDone } from './open-findings.js';

const found = (task: string): Finding => ({
  task,
  measurement: 'switch',
  place: null,
  found: 'failed',
  left: null,
  verdict: 'out',
  note: null,
});
const record = (
  day: string,
  tasks: readonly string[],
  findings: readonly Finding[],
  enteredAtMs = 1,
): ServiceRecord => ({
  id: `record-${day}-${enteredAtMs}`,
  machine: 'm',
  visit: null,
  tasks,
  day: aDay(day),
  hours: null,
  hoursKnown: 'unknown',
  by: null,
  door: 'page',
  note: null,
  minutes: null,
  findings,
  enteredAtMs,
});
const machine = someMachine([
  someTask('oil', { every: { hours: 50 }, countsAs: ['look'] }),
  someTask('look', { every: { months: 6 } }),
  someTask('switches', { every: { months: 6 } }),
]);
const facts = (...records: readonly ServiceRecord[]) => ({ ...someFacts([], []), records });

it('a job is left out where a record holds a finding of it and does not close it', () => {
  expect(tasksLeftOut(record('2031-05-01', ['oil'], [found('switches'), found('oil'), found('switches')]))).toEqual([
    'switches',
  ]);
});

it('it waits until a later record closes it, of the same day too, whatever order they come in', () => {
  const out = record('2031-05-01', ['oil'], [found('switches')], 5);
  expect(openFindings(machine, facts(out))).toEqual([
    { task: 'switches', day: '2031-05-01', enteredAtMs: 5, out: ['switch'] },
  ]);
  const before = record('2031-04-30', ['switches'], [], 9);
  expect(openFindings(machine, facts(out, before))).toHaveLength(1);
  expect(openFindings(machine, facts(record('2031-05-01', ['switches'], [], 6), out))).toEqual([]);
});

it('found so again it waits anew from that day; a job that counts as it settles it', () => {
  const first = record('2031-05-01', [], [found('look')]);
  expect(openFindings(machine, facts(first, record('2031-06-01', [], [found('look')])))[0]?.day).toBe('2031-06-01');
  expect(openFindings(machine, facts(first, record('2031-06-01', ['oil'], [])))).toEqual([]);
  expect(openFindings(machine, facts(record('2031-06-01', ['oil'], [found('look')])))).toHaveLength(1);
});

it('only a failed test that stops use forbids it; a caution about the work and a plain value do not', () => {
  const test = { kind: 'test', passes: 'it stops', stopUse: true } as const;
  const gap = { kind: 'range', min: '1 mm', max: '2 mm' } as const;
  const measure = [
    { id: 'switch', name: 'switch', specification: test },
    { id: 'gap', name: 'gap', specification: gap },
  ];
  expect(isUnsafeWhenOut({ measure }, { out: ['switch'] })).toBe(true);
  expect(isUnsafeWhenOut({ measure }, { out: ['gap'] })).toBe(false);
  expect(isUnsafeWhenOut({ measure }, { out: [] })).toBe(true);
  const warned = someTask('wheel', { cautions: ['used-oil', 'wheel-off'] });
  expect(isUnsafeWhenOut(warned, { out: [] })).toBe(false);
});

it('what was found within its limits is not named among what did not hold', () => {
  const fine = { ...found('switches'), measurement: 'other', verdict: 'in' as const };
  const unsaid = { ...found('switches'), measurement: 'unsaid', verdict: null };
  const open = openFindings(machine, facts(record('2031-05-01', [], [fine, found('switches'), unsaid])));
  expect(open[0]?.out).toEqual(['switch', 'unsaid']);
});

it('a job of which points or sound places are told, and no more, is partly done and not left out', () => {
  const points = { ...found('oil'), measurement: 'points at lift arms left', found: 'greased 1 of 2', verdict: null };
  const sound = { ...found('look'), found: 'dry', verdict: 'in' as const };
  const begun = record('2031-05-01', [], [points, sound]);
  expect(tasksPartlyDone(begun)).toEqual(['oil', 'look']);
  expect(tasksLeftOut(begun)).toEqual([]);
  expect(openFindings(machine, facts(begun))).toEqual([]);
  const spoilt = record('2031-05-01', [], [sound, { ...sound, left: 'damp' }]);
  expect([tasksPartlyDone(spoilt), tasksLeftOut(spoilt)]).toEqual([[], ['look']]);
  expect(tasksPartlyDone(record('2031-05-01', ['oil', 'look'], [points, sound]))).toEqual([]);
});
