import {
  type Day,
  dayNumber,
  dayNumbered,
  instantOf,
  parseDay,
  parseTimeOfDay,
  parseZone,
} from '../../src/domain/day.js';
import { type MachineFacts, noFacts, type SentNotice } from '../../src/domain/facts.js';
import type { Household } from '../../src/domain/household.js';
import type { Machine } from '../../src/domain/machine.js';
import type { Due } from '../../src/domain/results/due.js';
import type { Message } from '../../src/domain/results/notice.js';
import type { Visit } from '../../src/domain/results/visit.js';
import type { Task } from '../../src/domain/task.js';

/** A Wednesday; the days below count from it. */
export const wednesday = parseDay('2031-04-09');

export function inDays(days: number): Day {
  return dayNumbered(dayNumber(wednesday) + days);
}

/** The instant of a time of day, so many days from the Wednesday, in the household's zone. */
export function at(days: number, time = '12:30'): number {
  return instantOf(inDays(days), parseTimeOfDay(time), aHousehold().zone);
}

export function aHousehold(over: Partial<Household> = {}): Household {
  return {
    name: 'Larkrise',
    zone: parseZone('Europe/Lisbon'),
    units: 'metric',
    locale: 'en-GB',
    hemisphere: 'north',
    people: [{ id: 'ines', name: 'Inês' }],
    workingDays: ['sat', 'sun'],
    daysOff: [],
    evening: parseTimeOfDay('18:30'),
    quiet: { from: parseTimeOfDay('21:30'), to: parseTimeOfDay('07:00') },
    http: { host: '127.0.0.1', port: 8377 },
    backup: { folder: 'data/backups', keep: 14 },
    setUpMinutes: 20,
    ...over,
  };
}

export function aTask(id: string, over: Partial<Task> = {}): Task {
  return {
    id,
    title: `Look after the ${id}`,
    every: { hours: 100 },
    minutes: 30,
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

export function aMachine(tasks: readonly Task[], over: Partial<Machine> = {}): Machine {
  return {
    id: 'orchard-mower',
    name: 'orchard mower',
    planId: 'invented',
    has: [],
    covers: [],
    places: [],
    meter: { kind: 'meter', counts: 'clock', changes: [] },
    expect: { hoursPerYear: 100, season: 'unknown' },
    since: parseDay('2029-05-01'),
    gone: false,
    last: {},
    never: {},
    tasks,
    ...over,
  };
}

export function someFacts(over: Partial<MachineFacts> = {}): MachineFacts {
  return { ...noFacts('orchard-mower'), ...over };
}

/** A due date about `median` days from the Wednesday, its chance rising in a straight line over `spread` days to either side;
 *  late follows `tolerance` days after. */
export function aDue(
  task: string,
  median: number,
  over: Partial<Due> & { spread?: number; tolerance?: number } = {},
): Due {
  const { spread = 10, tolerance = 20, ...rest } = over;
  const curve = (shift: number) => ({
    from: inDays(0),
    offsets: [median - spread + shift, median + spread + shift],
    p: [0, 1],
  });
  return {
    machine: 'orchard-mower',
    task,
    limit: 'months',
    day: {
      p10: inDays(Math.round(median - 0.8 * spread)),
      p50: inDays(median),
      p90: inDays(Math.round(median + 0.8 * spread)),
    },
    curve: curve(0),
    lateCurve: curve(tolerance),
    targetHours: null,
    intervalHours: null,
    toleranceHours: null,
    calendarDay: null,
    intervalDays: 365,
    lastDay: inDays(Math.min(median - 365, -30)),
    lastHours: null,
    countedFrom: null,
    unknownLast: false,
    cycle: 1,
    ...rest,
  };
}

/** What the ledger does once messages are written: the notices sent, and the visits announced. */
export function written(
  facts: MachineFacts,
  messages: readonly Message[],
  visits: readonly Visit[],
  nowMs: number,
): MachineFacts {
  const notices = messages.flatMap((message) => message.notices).filter((notice) => notice.machine === facts.machine);
  const sent: SentNotice[] = notices.map((notice, i) => ({
    id: `${nowMs}-${i}`,
    message: `${nowMs}`,
    kind: notice.kind,
    visit: notice.visit,
    tasks: notice.tasks,
    to: notice.to,
    atMs: nowMs,
    proposedDay: notice.proposedDay,
  }));
  const announced = new Map(facts.visits.map((visit) => [visit.id, visit]));
  for (const notice of notices) {
    const visit = visits.find((v) => v.id === notice.visit);
    if (visit === undefined) continue;
    const before = announced.get(visit.id);
    announced.set(visit.id, {
      id: visit.id,
      tasks: visit.tasks,
      day: visit.day,
      revision: (before?.revision ?? 0) + 1,
      announcedAtMs: before?.announcedAtMs ?? nowMs,
      state: 'open',
    });
  }
  return { ...facts, sent: [...facts.sent, ...sent], visits: [...announced.values()] };
}
