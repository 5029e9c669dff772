import { type Day, startOfDay } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Feed, LastDone, Machine } from '../domain/machine.js';

/** The home as a rehearsal starts it: the meter stands at its first value, known on the first day; every task counts as
 *  done then; nothing rests; letters go to files. A machine without a meter gets one, because the scripted person reads the
 *  true hours. Machines that are gone stay out.
 *  @param tasks   only these, on the machines that have them; null: all
 *  @param isFed   every machine has a feed, its own or one made up; else none has */
export function stageHome(home: Home, from: Day, tasks: readonly string[] | null, isFed: boolean): Home {
  const { smtp: _smtp, mqtt: _mqtt, ...household } = home.household;
  const machines = home.machines
    .filter((machine) => !machine.gone)
    .map((machine) => stageMachine(machine, from, tasks, home, isFed))
    .filter((m) => m.tasks.length > 0 || tasks === null);
  return { household, machines };
}

/** What the meter shows on the first day. */
export function firstHours(machine: Machine): number {
  return machine.meter.kind === 'meter' ? (machine.meter.first?.hours ?? 0) : 0;
}

function stageMachine(
  machine: Machine,
  from: Day,
  tasks: readonly string[] | null,
  home: Home,
  isFed: boolean,
): Machine {
  const { feed, resting: _resting, ...rest } = machine;
  const hours = firstHours(machine);
  const last: Record<string, LastDone> = {};
  for (const task of machine.tasks) last[task.id] = { kind: 'done', hours, day: from };
  return {
    ...rest,
    ...(isFed ? { feed: feed ?? madeUpFeed(machine.id) } : {}),
    since: from,
    last,
    meter: {
      kind: 'meter',
      counts: machine.meter.kind === 'meter' ? machine.meter.counts : 'clock',
      first: { hours, atMs: startOfDay(from, home.household.zone), about: false },
      changes: [],
    },
    tasks: tasks === null ? machine.tasks : machine.tasks.filter((task) => tasks.includes(task.id)),
  };
}

function madeUpFeed(machine: string): Feed {
  return { kind: 'run-seconds', topic: `rehearsal/${machine}`, scale: 1, offset: 0, silentAfterMinutes: 15 };
}
