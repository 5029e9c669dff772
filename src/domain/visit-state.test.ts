import { describe, expect, it } from 'vitest';
import { mower } from '../../tests/stage/ledger-books.js';
import { type Day, parseDay } from './day.js';
import type { Answer, ServiceRecord } from './facts.js';
import { openTasks, visitState } from './visit-state.js';

const visit = {
  id: 'visit-1',
  tasks: ['engine-oil', 'blades'],
  day: parseDay('2031-04-12'),
  revision: 1,
  announcedAtMs: 1_000,
  isDropped: false,
};
const announcedOn = parseDay('2031-04-05');
const record = (tasks: string[], more: Partial<ServiceRecord> = {}): ServiceRecord => ({
  id: 'record-1',
  machine: mower.id,
  visit: null,
  tasks,
  day: announcedOn,
  hours: null,
  hoursKnown: 'unknown',
  by: null,
  door: 'page',
  note: null,
  minutes: null,
  findings: [],
  enteredAtMs: 2_000,
  ...more,
});
const leaveOut = (tasks: string[], atMs = 2_000): Answer => ({
  kind: 'leave-out',
  tasks,
  day: announcedOn,
  hours: null,
  atMs,
});
const stateOf = (records: ServiceRecord[], answers: Answer[] = [], dropped = false) =>
  visitState({ ...visit, isDropped: dropped }, announcedOn, records, answers);

describe('a visit', () => {
  it('is open until all its tasks are settled', () => {
    expect(stateOf([])).toBe('open');
    expect(stateOf([record(['blades'])])).toBe('open');
    expect(stateOf([record(['blades']), record(['engine-oil', 'air-filter'])])).toBe('done');
  });

  it('is settled by its own record whenever that was entered, by others only from the announcement on', () => {
    const both = ['engine-oil', 'blades'];
    expect(stateOf([record(both, { visit: visit.id, enteredAtMs: 1 })])).toBe('done');
    expect(stateOf([record(both, { enteredAtMs: 999 })])).toBe('open');
  });

  it('is not settled by old papers that are imported later, but by papers of later work', () => {
    const paper = (day: Day) => record(['engine-oil', 'blades'], { door: 'import', day });
    expect(stateOf([paper(parseDay('2029-06-01'))])).toBe('open');
    expect(stateOf([paper(parseDay('2031-04-06'))])).toBe('done');
  });

  it('of which everything was left out is dropped; of which something was done is done', () => {
    expect(stateOf([], [leaveOut(visit.tasks.slice())])).toBe('dropped');
    expect(stateOf([], [leaveOut(visit.tasks.slice(), 999)])).toBe('open');
    expect(stateOf([record(['blades'])], [leaveOut(['engine-oil'])])).toBe('done');
  });

  it('that was dropped for another stays so, unless its work was done', () => {
    expect(stateOf([], [], true)).toBe('dropped');
    expect(stateOf([record(['blades', 'engine-oil'])], [], true)).toBe('done');
  });
});

it('what is open of a visit is what was neither done nor left out since it was announced', () => {
  const open = (records: ServiceRecord[], answers: Answer[]) => openTasks(visit, announcedOn, records, answers);
  expect(open([], [])).toEqual(visit.tasks);
  expect(open([record(['blades'])], [])).toEqual(['engine-oil']);
  expect(open([record(['blades'])], [leaveOut(['engine-oil'])])).toEqual([]);
  expect(open([record(['blades'], { enteredAtMs: 500 })], [leaveOut(['engine-oil'], 500)])).toEqual(visit.tasks);
});
