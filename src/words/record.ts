import type { Day } from '../domain/day.js';
import type { ServiceRecord } from '../domain/facts.js';
import type { Person } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { tasksLeftOut, tasksPartlyDone } from '../domain/open-findings.js';
import type { MachineOutlook } from '../domain/results/outlook.js';
import { joinAnd } from './counts.js';
import { sayDay, sayMinutes } from './dates.js';
import { sayHours, sayReadHours } from './hours.js';
import { sayPaid } from './money.js';
import { ended, oneLine, small } from './sentence.js';
import { sayTask } from './task.js';

/** A record in one line: `Saturday 22 March at 387.4 h: change engine oil and filter, and check tyre pressures. By Anna,
 *  1 h 50.` Estimated hours are said as `about 387 h`, unknown ones not at all; the person's own words come last.
 *  What was found outside its limits and left so, and what is partly done, is told apart from what was done; what it cost stands before
 *  the words where it was told.
 *  @param people  the household's, to turn an id into a name; an unknown id is said as it is
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function sayRecord(
  record: ServiceRecord,
  machine: Pick<Machine, 'tasks'>,
  people: readonly Person[],
  today: Day,
  locale: string,
): string {
  const tasks = record.tasks.map((task) => small(sayTask(task, machine)));
  const out = tasksLeftOut(record).map((task) => small(sayTask(task, machine)));
  const leftOut = out.length === 0 ? '' : `found outside its limits and not done: ${joinAnd(out)}`;
  const begun = sayPartlyDone(record, machine);
  const isOther = out.length > 0 || begun !== '';
  const done = tasks.length > 0 ? joinAnd(tasks) : isOther ? '' : 'nothing of the plan';
  const what = [done, begun, leftOut].filter((text) => text !== '').join('; ');
  const by =
    record.by === null ? '' : `by ${oneLine(people.find((person) => person.id === record.by)?.name ?? record.by)}`;
  const took = record.minutes === null ? '' : sayMinutes(record.minutes);
  const who = [by, took].filter((text) => text !== '').join(', ');
  const note = record.note === null ? '' : ` “${oneLine(record.note)}”`;
  const after = who === '' ? '' : ` ${ended(who.charAt(0).toUpperCase() + who.slice(1))}`;
  const paid = record.paid === undefined ? '' : ` ${sayPaid(record, locale)}`;
  return `${sayDay(record.day, today, locale)}${sayHoursThen(record)}: ${ended(what)}${after}${paid}${note}`;
}

/** What was begun and stays due, as a clause: `partly done and still due: grease the loader`; '' where all that was begun is done.
 *  Source: common practice, no source. */
export function sayPartlyDone(
  record: Pick<ServiceRecord, 'tasks' | 'findings'>,
  machine: Pick<Machine, 'tasks'>,
): string {
  const begun = tasksPartlyDone(record).map((task) => small(sayTask(task, machine)));
  return begun.length === 0 ? '' : `partly done and still due: ${joinAnd(begun)}`;
}

/** A record with the hours that are said of its moment now, where they were an estimate then: what has been read or told since says more
 *  of that moment, and a job done before now cannot stand above the hours now.
 *  @param ahead  of its machine; null: the record as it was written
 *  Source: common practice, no source. */
export function withHoursSaidNow(
  record: ServiceRecord,
  ahead: Pick<MachineOutlook, 'dues' | 'hoursNow'> | null,
): ServiceRecord {
  if (record.hoursKnown !== 'estimated' || record.hours === null || ahead === null) return record;
  const due = ahead.dues.find(({ task, lastDay }) => lastDay === record.day && record.tasks.includes(task));
  const most = ahead.hoursNow?.p50 ?? Number.POSITIVE_INFINITY;
  return { ...record, hours: due?.lastHours ?? Math.min(record.hours, most) };
}

function sayHoursThen(record: ServiceRecord): string {
  if (record.hours === null || record.hoursKnown === 'unknown') return '';
  return record.hoursKnown === 'read' ? ` at ${sayReadHours(record.hours)}` : ` at about ${sayHours(record.hours)}`;
}
