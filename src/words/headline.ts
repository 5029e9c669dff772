import type { Day } from '../domain/day.js';
import { addDays } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import type { Outlook } from '../domain/results/outlook.js';
import type { Visit } from '../domain/results/visit.js';
import { joinAnd, sayNumber } from './counts.js';
import { sayDay, sayWhen } from './dates.js';
import { sayHoursNow } from './hours.js';
import { sayMachine, sayMachineFirst } from './machine.js';
import { capital } from './sentence.js';
import { saySpread, sayTimeInAll, sayVisitTitle, sayWhyVisit } from './visit.js';

/** The two sentences that open the almanac. First: is there anything to do this week, and which machine wants whom when.
 *  Second: what the next visit is, how long it takes, how sure its day is, and the hours behind it.
 *  A home without machines, and one where nothing comes up within two years, get sentences of their own.
 *  @param outlook  visits soonest first
 *  @returns `second` is empty only where there is nothing to add
 *  Source: common practice, no source. */
export function sayHeadline(outlook: Outlook, home: Home): { readonly first: string; readonly second: string } {
  const { today } = outlook;
  const { locale } = home.household;
  if (home.machines.length > 0 && home.machines.every((machine) => machine.gone)) {
    return { first: 'No machine is left here.', second: 'What was done on those that are gone stays in the books.' };
  }
  if (home.machines.length === 0) {
    return {
      first: 'No machine is set up yet.',
      second: 'Add one here, or write its file into the machines folder of the home, and its year appears below.',
    };
  }
  const visits = outlook.visits.flatMap((visit) => {
    const machine = home.machines.find((one) => one.id === visit.machine);
    return machine === undefined ? [] : [{ visit, machine }];
  });
  const next = visits[0];
  if (next === undefined && isOverdue(outlook, home)) {
    return {
      first: 'Work is due, but no day is left to do it on.',
      second: 'Every day in reach is a day off or no working day: see “workingDays” and “daysOff” in household.yaml.',
    };
  }
  if (next === undefined) {
    return { first: 'Nothing to do, as far as can be seen.', second: sayAllHours(outlook, home) };
  }
  const weekEnds = addDays(today, 6);
  const soon = visits.filter(({ visit }) => visit.day <= weekEnds);
  if (soon.length > 0) return { first: saySoon(soon, today, locale), second: saySecond(next, outlook, locale) };
  const due = visits.find(({ visit }) => visit.kind === 'service' && visit.due.p50 <= weekEnds);
  return { first: sayLater(next, due, today, locale), second: saySecond(due ?? next, outlook, locale) };
}

/** Whether something has probably reached its limit on a machine that is here and not at rest. */
function isOverdue({ machines, today }: Outlook, home: Home): boolean {
  return machines.some(({ machine, dues }) => {
    const found = home.machines.find((one) => one.id === machine);
    if (found === undefined || found.gone || isAtRest(found, today)) return false;
    return dues.some((due) => due.limit !== 'use' && due.day !== null && due.day.p50 <= today);
  });
}

function isAtRest({ resting }: Machine, today: Day): boolean {
  return resting !== undefined && resting.from <= today && (resting.until === undefined || resting.until >= today);
}

interface Planned {
  readonly visit: Visit;
  readonly machine: Machine;
}

function sayLater(next: Planned, due: Planned | undefined, today: Day, locale: string): string {
  if (due === undefined) {
    return `Nothing to do this week. ${sayWanted(next, `on ${sayDay(next.visit.day, today, locale)}`)}.`;
  }
  const comes = due.visit.due.p50 <= today ? 'is due' : 'comes due this week';
  return `${sayMachineFirst(due.machine)} ${comes}, but waits until ${sayDay(due.visit.day, today, locale)}.`;
}

/** Who is wanted when: the owner, or the dealer whom the owner has to book. */
function sayWanted({ visit, machine }: Planned, when: string): string {
  return visit.by === 'dealer'
    ? `${sayMachineFirst(machine)} wants the dealer ${when}`
    : `${sayMachineFirst(machine)} wants you ${when}`;
}

function saySoon(soon: readonly Planned[], today: Day, locale: string): string {
  const [next] = soon;
  if (next === undefined) return '';
  const others = [
    ...new Set(
      soon.filter(({ visit }) => visit.machine !== next.visit.machine).map(({ machine }) => sayMachine(machine)),
    ),
  ];
  const also =
    others.length === 0
      ? ''
      : ` ${others.length > 2 ? capital(sayNumber(others.length)) : capital(joinAnd(others))} ${others.length > 2 ? 'more machines want' : others.length === 1 ? 'wants' : 'want'} you this week too.`;
  if (next.visit.day < today) {
    return `${sayMachineFirst(next.machine)} has been waiting since ${sayDay(next.visit.day, today, locale)}.${also}`;
  }
  return `${sayWanted(next, sayWhen(next.visit.day, today, locale))}.${also}`;
}

function saySecond(next: Planned, outlook: Outlook, locale: string): string {
  const { visit, machine } = next;
  const title = sayVisitTitle(visit, machine);
  const hours = sayHoursBehind(machine, outlook);
  const why = sayWhyVisit(visit, machine, outlook.today, locale);
  return `${title}, ${sayTimeInAll(visit)}: ${why}.${saySpread(visit)}${hours}`;
}

function sayHoursBehind(machine: Machine, outlook: Outlook): string {
  const now = outlook.machines.find((one) => one.machine === machine.id)?.hoursNow ?? null;
  if (now === null) return ` Nothing is known yet of how long ${sayMachine(machine)} has run.`;
  if (machine.meter.kind === 'none')
    return ` By what was told, ${sayMachine(machine)} has run ${sayHoursNow(now)} since it came here.`;
  return ` ${sayMachineFirst(machine)} stands at ${sayHoursNow(now)}.`;
}

function sayAllHours(outlook: Outlook, home: Home): string {
  const said = home.machines
    .filter((machine) => !machine.gone)
    .slice(0, 3)
    .map((machine) => sayHoursBehind(machine, outlook).trim());
  return said.join(' ');
}
