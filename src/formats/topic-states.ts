import { formatInstant } from '../domain/day.js';
import { hearSensor } from '../domain/feed-silence.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import type { Visit } from '../domain/results/visit.js';
import { sayLikelyDays } from '../words/dates.js';
import { sayHoursNow } from '../words/hours.js';
import { isOnEarlierMeter } from '../words/hours-on-meter.js';
import { sayTask } from '../words/task.js';
import { sayVisitTitle } from '../words/visit.js';

const kinds = ['hours', 'due', 'visit', 'problem'] as const;

/** What other programs in the house can show of each machine, as retained MQTT messages: topic to payload. Every payload is one JSON
 *  object that always has the same keys (null where nothing is known); hours are rounded to a tenth, so that they change seldom.
 *  `shedbell/MACHINE/hours`, `/due` (the task that comes next), `/visit` (the next visit) and `/problem`.
 *  @param problems  plain sentences about a machine, by its id
 *  @param formerly  ids of machines that have no file any more
 *  @returns         an empty payload, which takes a retained message off the broker, for machines that are gone
 *  Source: own design; retained messages and empty payloads, MQTT 3.1.1 section 3.3.1.3. */
export function topicStates(
  home: Home,
  outlook: Outlook,
  problems: ReadonlyMap<string, readonly string[]>,
  formerly: readonly string[],
): ReadonlyMap<string, string> {
  const states = new Map<string, string>();
  const forget = (id: string) => {
    for (const kind of kinds) states.set(topicOf(id, kind), '');
  };
  for (const id of formerly) forget(id);
  for (const machine of home.machines) {
    const ahead = outlook.machines.find((one) => one.machine === machine.id);
    if (machine.gone || ahead === undefined) {
      forget(machine.id);
      continue;
    }
    const documents = {
      hours: hoursDocument(machine, ahead, outlook),
      due: dueDocument(machine, ahead, outlook, home),
      visit: visitDocument(machine, outlook),
      problem: { problems: problems.get(machine.id) ?? [] },
    };
    for (const kind of kinds) states.set(topicOf(machine.id, kind), JSON.stringify(documents[kind]));
  }
  return states;
}

function topicOf(id: string, kind: (typeof kinds)[number]): string {
  return `shedbell/${id}/${kind}`;
}

function hoursDocument(machine: Machine, ahead: MachineOutlook, { nowMs }: Outlook) {
  const { hoursNow, lastReading } = ahead;
  const heard = hearSensor(machine, ahead.feed, nowMs);
  return {
    p10: hoursNow === null ? null : tenths(hoursNow.p10),
    p50: hoursNow === null ? null : tenths(hoursNow.p50),
    p90: hoursNow === null ? null : tenths(hoursNow.p90),
    lastReading:
      lastReading === null ? null : { at: formatInstant(lastReading.atMs), hours: tenths(lastReading.hours) },
    silentSince: heard?.kind === 'silent' ? formatInstant(heard.sinceMs) : null,
    text: hoursNow === null ? 'hours not known yet' : sayHoursNow(hoursNow),
  };
}

function isShown(hours: number | null, machine: Machine): hours is number {
  return hours !== null && !isOnEarlierMeter(hours, machine.meter);
}

function dueDocument(machine: Machine, { dues }: MachineOutlook, { today }: Outlook, { household }: Home) {
  const next = dues.find((due): due is Due & { day: NonNullable<Due['day']> } => due.day !== null && !due.unknownLast);
  if (next === undefined) {
    return { task: null, title: null, limit: null, p10: null, p50: null, p90: null, targetHours: null, text: null };
  }
  return {
    task: next.task,
    title: sayTask(next.task, machine),
    limit: next.limit,
    ...next.day,
    // A limit that an older meter passed lies below the beginning of the one in use: no meter shows such hours.
    targetHours: isShown(next.targetHours, machine) ? tenths(next.targetHours) : null,
    text: sayLikelyDays(next.day, today, household.locale),
  };
}

function visitDocument(machine: Machine, { visits }: Outlook) {
  const visit: Visit | undefined = visits.find((one) => one.machine === machine.id);
  if (visit === undefined) {
    return { visit: null, day: null, title: null, tasks: [], minutes: null, buyBy: null, toBuy: [] };
  }
  return {
    visit: visit.id,
    day: visit.day,
    title: sayVisitTitle(visit, machine),
    tasks: visit.tasks,
    minutes: Math.round(visit.minutes),
    buyBy: visit.buyBy,
    toBuy: visit.shopping
      .filter(({ toBuy }) => toBuy > 0)
      .map(({ name, toBuy, unit }) => ({ name, quantity: toBuy, unit })),
  };
}

function tenths(value: number): number {
  return Math.round(value * 10) / 10;
}
