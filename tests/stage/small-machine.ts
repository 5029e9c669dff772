import { type Day, dayMs, parseDay, parseZone, startOfDay } from '../../src/domain/day.js';
import { type MachineFacts, noFacts, type Reading, type ServiceRecord } from '../../src/domain/facts.js';
import type { Household } from '../../src/domain/household.js';
import type { Machine } from '../../src/domain/machine.js';
import type { Task } from '../../src/domain/task.js';

/** An invented household, machine and facts for tests of the pure folders; every part can be replaced. */
const zone = parseZone('Europe/Lisbon');

export const atDay = (day: string, hours = 12): number => startOfDay(parseDay(day), zone) + (hours * dayMs) / 24;

export function someHousehold(over: Partial<Household> = {}): Household {
  return {
    name: 'Quarry Bottom',
    zone,
    units: 'metric',
    locale: 'en-GB',
    hemisphere: 'north',
    people: [{ id: 'wen', name: 'Wen' }],
    workingDays: ['sat', 'sun'],
    daysOff: [],
    evening: '18:30' as Household['evening'],
    quiet: { from: '21:30' as Household['evening'], to: '07:00' as Household['evening'] },
    http: { host: '127.0.0.1', port: 8377 },
    backup: { folder: 'data/backups', keep: 14 },
    setUpMinutes: 20,
    ...over,
  };
}

export function someTask(id: string, over: Partial<Task> = {}): Task {
  return {
    id,
    title: id,
    minutes: 20,
    by: 'owner',
    steps: [],
    parts: [],
    fluids: [],
    measure: [],
    cautions: [],
    source: 'invented',
    ...over,
  };
}

export function someMachine(tasks: readonly Task[], over: Partial<Machine> = {}): Machine {
  return {
    id: 'orchard-mower',
    name: 'Orchard mower',
    planId: 'own',
    has: [],
    covers: [],
    places: [],
    meter: { kind: 'meter', counts: 'engine-speed', changes: [] },
    expect: { season: 'unknown' },
    since: parseDay('2030-01-05'),
    gone: false,
    last: {},
    never: {},
    tasks,
    ...over,
  };
}

/** Facts with readings [day, hours] and records [day, hours, tasks]. */
export function someFacts(
  readings: readonly (readonly [string, number])[],
  records: readonly (readonly [string, number | null, readonly string[]])[] = [],
): MachineFacts {
  return {
    ...noFacts('orchard-mower'),
    readings: readings.map(
      ([day, hours], i): Reading => ({ id: `r${i}`, atMs: atDay(day), hours, about: false, door: 'page', by: 'wen' }),
    ),
    records: records.map(
      ([day, hours, tasks], i): ServiceRecord => ({
        id: `s${i}`,
        machine: 'orchard-mower',
        visit: null,
        tasks,
        day: parseDay(day),
        hours,
        hoursKnown: hours === null ? 'unknown' : 'read',
        by: 'wen',
        door: 'page',
        note: null,
        minutes: null,
        findings: [],
        enteredAtMs: atDay(day, 17),
      }),
    ),
  };
}

export const aDay = (text: string): Day => parseDay(text);
