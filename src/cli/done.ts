import type { Service } from '../daemon/wire.js';
import { type Day, dayOf, parseDay } from '../domain/day.js';
import { noFacts, type ServiceRecord } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import type { Home } from '../domain/home.js';
import { moneyHabitOf, parseMoney } from '../domain/money-text.js';
import { openFindings } from '../domain/open-findings.js';
import { findOutOfSeason } from '../domain/season-work.js';
import { confirmVisit } from '../ledger/confirm-visit.js';
import { readHoursText } from '../ledger/enter-reading.js';
import { gather } from '../ledger/gather.js';
import type { PaidSaid } from '../ledger/say-paid.js';
import { sayFluidUsed } from '../words/fluid-used.js';
import { sayFoundOut } from '../words/open-finding.js';
import { sayOutOfSeason } from '../words/out-of-season.js';
import { sayRecord } from '../words/record.js';
import { sayTask } from '../words/task.js';
import { type At, optionValue } from './at.js';
import { fluidsTold } from './fluids-told.js';
import { type HeldVisit, heldVisit } from './held-visit.js';
import { machineNamed, withService } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';

/** As typed. */
export interface DoneOptions {
  readonly hours?: string;
  readonly on?: string;
  readonly tasks?: string;
  readonly fluid?: readonly string[];
  readonly paid?: string;
  readonly paidFor?: string;
  readonly confirm?: true;
}

/** `shedbell done VISIT`: a person confirms the work, all of it or the tasks named. Said again, it is the same record. What is
 *  doubtful is a question and exits 2 until it is said with --confirm. An amount paid is said of the record that there is. */
export function runDone(at: At, id: string, options: DoneOptions, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const { books } = service;
    const { visit, seenAtMs } = heldVisit(service, id);
    const machine = machineNamed(home, visit.machine);
    const day =
      options.on === undefined
        ? dayOf(books.clock.nowMs(), home.household.zone)
        : optionValue('--on', options.on, parseDay);
    const hours = options.hours === undefined ? null : optionValue('--hours', options.hours, readHoursText);
    const paid = paidTold(options, home);
    const outlook = service.latest();
    const tasks = options.tasks === undefined ? null : namesOf(options.tasks);
    const questions = options.confirm === true ? [] : questionsAbout(service, home, visit, tasks ?? visit.tasks, day);
    if (questions.length > 0) {
      for (const question of questions) out.error(`question: ${question}`);
      return exitStatus.badInput;
    }
    const confirmation = confirmVisit(books, {
      visit,
      tasks,
      day,
      hours,
      hoursEstimated: outlook.machines.find((m) => m.machine === visit.machine)?.hoursNow?.p50 ?? null,
      by: null,
      door: 'command',
      note: null,
      minutes: null,
      paid,
      findings: fluidsTold(options.fluid ?? [], tasks ?? visit.tasks, machine),
      key: null,
      seenAtMs,
    });
    if (confirmation.kind === 'refused')
      return refuse(confirmation.fault, { machine: visit.machine, day, hours, isToday: day === outlook.today }, out);
    const { record } = confirmation;
    const again = confirmation.kind === 'already' ? 'Already on record: ' : '';
    out.line(
      `${again}${record.id}: ${sayRecord(record, machine, home.household.people, outlook.today, home.household.locale)}`,
    );
    if (confirmation.kind === 'recorded') {
      for (const line of record.findings.map(sayFluidUsed)) if (line !== null) out.line(line);
      for (const line of restLines(service, home, visit.tasks, record)) out.line(line);
    }
    return exitStatus.fine;
  });
}

/** What a person should look at again before these tasks are written down; nothing about what is on record of this visit. */
function questionsAbout(
  service: Service,
  home: Home,
  visit: HeldVisit['visit'],
  tasks: readonly string[],
  day: Day,
): readonly string[] {
  const { today, machines } = service.latest();
  const { locale } = home.household;
  const machine = machineNamed(home, visit.machine);
  const known = gather(service.books).machines.find((one) => one.machine === machine.id) ?? noFacts(machine.id);
  const onRecord = known.records.filter((record) => record.visit === visit.id).flatMap((record) => record.tasks);
  const fresh = tasks.filter((task) => !onRecord.includes(task));
  const dues = machines.find((one) => one.machine === machine.id)?.dues ?? [];
  const early = findOutOfSeason(fresh, day, machine, dues);
  const sure = 'Leave it out with --tasks, or say it again with --confirm if it really was done.';
  return [
    ...(early === null ? [] : [`${sayOutOfSeason(early, machine, today, locale)}. ${sure}`]),
    ...openFindings(machine, known)
      .filter(({ task }) => fresh.includes(task))
      .map(
        (finding) =>
          `“${sayTask(finding.task, machine)}” was ${sayFoundOut(finding, today, locale)}. Is it within them now? ${sure}`,
      ),
  ];
}

/** Tasks of the visit that were not done, each with the visit that holds it now: its id may have changed. */
function restLines(service: Service, home: Home, held: readonly string[], record: ServiceRecord): readonly string[] {
  const rest = held.filter((task) => !record.tasks.includes(task));
  if (rest.length === 0) return [];
  const machine = machineNamed(home, record.machine);
  return service.latest().visits.flatMap((visit) => {
    const tasks = visit.machine === machine.id ? visit.tasks.filter((task) => rest.includes(task)) : [];
    return tasks.length === 0 ? [] : [`Still to do, ${visit.id}: ${tasks.map((t) => sayTask(t, machine)).join(', ')}.`];
  });
}

/** Questionable hours are asked about as those of a reading; there they can be confirmed. */
function refuse(
  fault: Fault,
  said: { readonly machine: string; readonly day: Day; readonly hours: number | null; readonly isToday: boolean },
  out: Output,
): number {
  if (fault.code === 'reading-questionable') {
    const at = said.isToday ? '' : ` --at ${said.day}T18:00`;
    const enter = `shedbell reading ${said.machine} ${said.hours}${at} --confirm`;
    out.error(`question: ${fault.message} If it is right, enter it with: ${enter}, and then say this again.`);
  } else out.error(fault.line);
  return exitStatus.badInput;
}

function paidTold({ paid, paidFor }: DoneOptions, { household }: Home): PaidSaid | null {
  if (paid === undefined) {
    if (paidFor !== undefined) throw new BadInput('--paid-for wants --paid with the amount.');
    return null;
  }
  const money = optionValue('--paid', paid, (text) => parseMoney(text, moneyHabitOf(household)));
  return { money, what: paidFor === undefined ? null : optionValue('--paid-for', paidFor, (text) => text) };
}

function namesOf(text: string): string[] {
  const names = text.split(',').map((name) => name.trim());
  if (names.some((name) => name === '')) throw new BadInput('--tasks wants task names with commas between.');
  return names;
}
