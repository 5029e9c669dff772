import { makeLinks } from '../daemon/links.js';
import { addDays, type Day, dayMs, dayNumber, dayNumbered, dayOf, earlierDay, laterDay } from '../domain/day.js';
import { type Facts, type MachineFacts, noFacts } from '../domain/facts.js';
import { hears } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Message, Notice } from '../domain/results/notice.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import { minutesOfVisit } from '../domain/visit-minutes.js';
import type { Books } from '../ledger/books.js';
import { gather } from '../ledger/gather.js';
import { postLetters } from '../ledger/post.js';
import { sheetOf } from '../outlook/sheet-of.js';
import { momentAt, speakingInstants } from '../reminders/speaking-times.js';
import { listShopping } from '../visits/shopping.js';
import { isWorkingDay, nextWorkingDay } from '../visits/working-days.js';
import { writeLetter } from '../words/letter.js';
import type { Policy } from './policy.js';
import { limitsSinceDone, type TaskLimits } from './truth/true-limits.js';

/** A simple way to say when a task is due by hours; null where it cannot tell. */
export type ProjectHours = (machine: Machine, limits: TaskLimits) => Day | null;

/** A call that led to no record comes again after so many days, as a repeating entry would. Common practice, no source. */
const repeatDays = 28;
const lookAheadDays = 7;

interface Entry {
  readonly kind: 'parts' | 'work';
  readonly machine: Machine;
  readonly task: Task;
  /** Working day proposed. */
  readonly day: Day;
  /** When a limit is reached, by this policy. */
  readonly due: Day;
}

/** A policy without any doubt: each task is due on the projected day or at its calendar limit, whichever comes first. `work`
 *  goes out on the evening before the working day on or after it, `parts` the lead days of what is missing before that day.
 *  One message a person and evening, none in quiet hours; it posts as the service does.
 *  @param project  the day on which the hours limit is reached
 *  Source: own design, to compare with. */
export function baselinePolicy(books: Books, project: ProjectHours): Policy {
  /** By task and cycle: number of the day last called to, and whether its parts were said. */
  const called = new Map<string, number>();
  const partsSaid = new Set<string>();
  let spokenOn = Number.NEGATIVE_INFINITY;

  const entriesFor = (machine: Machine, facts: MachineFacts, evening: number): Entry[] => {
    const { household } = books.home();
    const tomorrow = dayNumbered(evening + 1);
    return machine.tasks.flatMap((task): Entry[] => {
      const limits = limitsSinceDone(machine, task, facts, household, null);
      if (limits === null) return [];
      const byHours = limits.hours === null ? null : project(machine, limits);
      const byCalendar = limits.calendar?.day ?? null;
      const due = byHours === null ? byCalendar : byCalendar === null ? byHours : earlierDay(byHours, byCalendar);
      if (due === null) return [];
      const day = nextWorkingDay(laterDay(due, tomorrow), household);
      const key = `${machine.id} ${task.id} ${limits.cycle}`;
      const entries: Entry[] = [];
      const leads = listShopping([task], facts, household)
        .filter((item) => item.toBuy > 0)
        .map((item) => Math.max(1, Math.ceil(item.leadDays)));
      if (leads.length > 0 && !partsSaid.has(key) && evening >= dayNumber(day) - Math.max(...leads)) {
        partsSaid.add(key);
        entries.push({ kind: 'parts', machine, task, day, due });
      }
      const last = called.get(key);
      const isTime = day === tomorrow && isWorkingDay(tomorrow, household);
      if (isTime && (last === undefined || evening + 1 - last >= repeatDays)) {
        called.set(key, evening + 1);
        entries.push({ kind: 'work', machine, task, day, due });
      }
      return entries;
    });
  };

  const post = (entries: readonly Entry[], facts: Facts, nowMs: number) => {
    const home = books.home();
    const visits = visitsOf(entries, facts, books);
    const outlook = plainOutlook(books, facts, visits, nowMs);
    const sheets = new Map(
      visits.flatMap((visit) => {
        const sheet = sheetOf(home, facts, visit);
        return sheet === null ? [] : [[visit.id, sheet] as const];
      }),
    );
    const links = makeLinks(books, null);
    const letters = messagesFor(entries, visits, books).map((message) => ({
      message,
      letter: writeLetter(message, { home, outlook, sheets, links }),
    }));
    return { posted: postLetters(books, outlook, letters).letters.length, visits };
  };

  const nextEvening = (nowMs: number) => {
    const { household } = books.home();
    const instants = speakingInstants(nowMs, household, lookAheadDays);
    return (
      instants.find((instant) => {
        const { isQuiet, eveningOf } = momentAt(instant, household);
        return !isQuiet && eveningOf !== null && eveningOf > spokenOn;
      }) ?? nowMs + lookAheadDays * dayMs
    );
  };

  return {
    turn() {
      const nowMs = books.clock.nowMs();
      const { isQuiet, eveningOf } = momentAt(nowMs, books.home().household);
      if (isQuiet || eveningOf === null || eveningOf <= spokenOn) {
        return { posted: 0, nextLookMs: nextEvening(nowMs), visits: [] };
      }
      spokenOn = eveningOf;
      const facts = gather(books);
      const entries = books
        .home()
        .machines.flatMap((machine) => entriesFor(machine, factsAbout(machine.id, facts), eveningOf));
      const said = entries.length === 0 ? { posted: 0, visits: [] } : post(entries, facts, nowMs);
      return { ...said, nextLookMs: nextEvening(nowMs) };
    },
  };
}

/** One visit for all that is said of a machine and a day. */
function visitsOf(entries: readonly Entry[], facts: Facts, books: Books): Visit[] {
  const groups = new Map<string, Entry[]>();
  for (const entry of entries) {
    const id = visitOf(entry);
    groups.set(id, [...(groups.get(id) ?? []), entry]);
  }
  return [...groups].flatMap(([id, group]) => {
    const [first] = group;
    return first === undefined ? [] : [visitFrom(id, first, group, facts, books)];
  });
}

function visitFrom(id: string, first: Entry, group: readonly Entry[], facts: Facts, books: Books): Visit {
  const { household } = books.home();
  const { machine, day } = first;
  const tasks = machine.tasks.filter((task) => group.some((entry) => entry.task.id === task.id));
  const due = group.reduce((soonest, entry) => earlierDay(soonest, entry.due), first.due);
  const shopping = listShopping(tasks, factsAbout(machine.id, facts), household);
  const leads = shopping.filter((item) => item.toBuy > 0).map((item) => Math.ceil(item.leadDays));
  return {
    id,
    machine: machine.id,
    tasks: tasks.map((task) => task.id),
    leadTask: first.task.id,
    pulledForward: [],
    early: [],
    day,
    due: { p10: due, p50: due, p90: due },
    minutes: minutesOfVisit(
      tasks.map((task) => task.id),
      machine.tasks,
      first.task.by,
      household.setUpMinutes,
      factsAbout(machine.id, facts),
    ),
    shopping,
    buyBy: leads.length === 0 ? null : addDays(day, -Math.max(...leads)),
    revision: 0,
    announced: false,
    kind: 'service',
    askOn: null,
    by: first.task.by,
    cause: { kind: 'on-time' },
    pLate: 0,
  };
}

function messagesFor(entries: readonly Entry[], visits: readonly Visit[], books: Books): Message[] {
  return books.home().household.people.flatMap((person) => {
    const notices = visits.flatMap((visit) =>
      (['parts', 'work'] as const).flatMap((kind): Notice[] => {
        const own = entries.filter((entry) => entry.kind === kind && visitOf(entry) === visit.id);
        if (own.length === 0 || !hears(person, kind)) return [];
        const because = `By a plain projection the first of these is due on ${visit.due.p50}.`;
        return [
          {
            kind,
            to: person.id,
            machine: visit.machine,
            visit: visit.id,
            tasks: own.map((entry) => entry.task.id),
            proposedDay: visit.day,
            because,
          },
        ];
      }),
    );
    return notices.length === 0 ? [] : [{ to: person.id, notices }];
  });
}

function plainOutlook(books: Books, facts: Facts, visits: readonly Visit[], nowMs: number): Outlook {
  const { household, machines } = books.home();
  return {
    nowMs,
    today: dayOf(nowMs, household.zone),
    factsVersion: facts.version,
    machines: machines.map(
      ({ id }): MachineOutlook => ({
        machine: id,
        hoursNow: null,
        lastReading: null,
        aside: [],
        feed: null,
        feedRatio: null,
        dues: [],
        hoursPerYear: null,
        trace: { atMs: [], p10: [], p50: [], p90: [] },
        doubt: null,
        toMend: [],
        helpToAsk: [],
      }),
    ),
    visits,
    messages: [],
    nextLookMs: nowMs,
    problems: [],
  };
}

function visitOf({ machine, day }: Entry): string {
  return `${machine.id}-${day}`;
}

function factsAbout(machine: string, facts: Facts): MachineFacts {
  return facts.machines.find((m) => m.machine === machine) ?? noFacts(machine);
}
