import { expect, test } from 'vitest';
import { mower, stageBooks, stagedHome, stageOutlook, stageVisit } from '../../tests/stage/ledger-books.js';
import { due } from '../../tests/stage/letter-scene.js';
import { meterHours } from '../domain/meter-hours.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import { topicStates } from './topic-states.js';

const feed = { kind: 'run-seconds', topic: 'shed/mower', scale: 1, offset: 0, silentAfterMinutes: 15 } as const;
const visit = stageVisit('meadow-mower-blades-1', ['blades']);

function outlookWith(change: Partial<MachineOutlook>, visits: Outlook['visits'] = [visit]): Outlook {
  const outlook = stageOutlook(stageBooks(), [...visits]);
  return { ...outlook, machines: outlook.machines.map((machine) => ({ ...machine, ...change })) };
}
const read = (states: ReadonlyMap<string, string>, kind: string): unknown =>
  JSON.parse(states.get(`shedbell/${mower.id}/${kind}`) ?? 'null');
const none = new Map<string, string[]>();

test('the hours are rounded to a tenth, so that they change seldom, and carry their doubt', () => {
  const hoursNow = { p10: 379.04, p50: 386.1234, p90: 394.06 };
  const states = topicStates(stagedHome, outlookWith({ hoursNow }), none, []);
  expect(read(states, 'hours')).toMatchObject({
    p10: 379,
    p50: 386.1,
    p90: 394.1,
    silentSince: null,
    text: 'about 386 h (379 to 394)',
  });
  const later = topicStates(stagedHome, outlookWith({ hoursNow: { ...hoursNow, p50: 386.13 } }), none, []);
  expect(later).toEqual(states);
});

test('what is not known is null, and the keys stay the same', () => {
  const known = topicStates(stagedHome, outlookWith({ hoursNow: { p10: 1, p50: 2, p90: 3 } }), none, []);
  const unknown = topicStates(stagedHome, outlookWith({ hoursNow: null, dues: [] }, []), none, []);
  for (const kind of ['hours', 'due', 'visit', 'problem']) {
    const keys = (states: ReadonlyMap<string, string>) => Object.keys(Object(read(states, kind)));
    expect(keys(unknown)).toEqual(keys(known));
  }
  expect(read(unknown, 'hours')).toMatchObject({ p50: null, lastReading: null, text: 'hours not known yet' });
  expect(read(unknown, 'visit')).toEqual({
    visit: null,
    day: null,
    title: null,
    tasks: [],
    minutes: null,
    buyBy: null,
    toBuy: [],
  });
});

test('a limit that lies on the meter before has no hours on the one in use', () => {
  const { nowMs, today } = outlookWith({});
  const atMs = nowMs - 86_400_000;
  const day = { p10: today, p50: today, p90: today };
  const targetOf = (hours: number) => {
    const changes = [{ atMs, lastHours: 812.3, firstHours: 0 }];
    const machine = { ...mower, meter: { kind: 'meter', counts: 'clock', changes } } as const;
    const dues = [{ ...due, machine: mower.id, task: 'blades', day, targetHours: meterHours(hours) }];
    const states = topicStates({ ...stagedHome, machines: [machine] }, outlookWith({ dues }), none, []);
    return (read(states, 'due') as { targetHours: number | null }).targetHours;
  };
  expect(targetOf(-212.3)).toBe(null);
  expect(targetOf(37.66)).toBe(37.7);
});

test('the next visit is told with its day and what to buy', () => {
  expect(read(topicStates(stagedHome, outlookWith({}), none, []), 'visit')).toMatchObject({
    visit: visit.id,
    day: visit.day,
    tasks: ['blades'],
  });
});

test('a silent sensor is told with the last sign of life, and problems in their plain words', () => {
  const home = { ...stagedHome, machines: [{ ...mower, feed }] };
  const outlook = outlookWith({});
  const lastAtMs = outlook.nowMs - 3_600_000;
  const silent = { ...outlook, machines: outlook.machines.map((m) => ({ ...m, feed: { runSeconds: 9, lastAtMs } })) };
  const states = topicStates(home, silent, new Map([[mower.id, ['The sensor says nonsense.']]]), []);
  expect(read(states, 'hours')).toMatchObject({
    silentSince: new Date(lastAtMs).toISOString().replace('.000Z', 'Z'),
  });
  expect(read(states, 'problem')).toEqual({ problems: ['The sensor says nonsense.'] });
});

test('machines that are gone, and those whose file was taken away, are taken off the broker', () => {
  const gone = { ...stagedHome, machines: [{ ...mower, gone: true }] };
  const states = topicStates(gone, outlookWith({}), none, ['old-pump']);
  expect([...states.keys()]).toHaveLength(8);
  expect(new Set(states.values())).toEqual(new Set(['']));
});
