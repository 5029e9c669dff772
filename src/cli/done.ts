import { dayOf, parseDay } from '../domain/day.js';
import { confirmVisit } from '../ledger/confirm-visit.js';
import { readHoursText } from '../ledger/enter-reading.js';
import { sayRecord } from '../words/record.js';
import { type At, machineNamed, visitNamed, withService } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';

/** `shedbell done VISIT`: confirms the work, all of it or the tasks named. */
export function runDone(
  at: At,
  id: string,
  options: { readonly hours?: string; readonly on?: string; readonly tasks?: string },
  out: Output,
): Promise<number> {
  return withService(at, (service, home) => {
    const { books } = service;
    const visit = visitNamed(service, id);
    const machine = machineNamed(home, visit.machine);
    const tasks = options.tasks === undefined ? null : namesOf(options.tasks);
    const outlook = service.latest();
    const confirmation = confirmVisit(books, {
      visit: { id: visit.id, machine: visit.machine, tasks: visit.tasks },
      tasks,
      day: options.on === undefined ? dayOf(books.clock.nowMs(), home.household.zone) : parseDay(options.on),
      hours: options.hours === undefined ? null : readHoursText(options.hours),
      hoursEstimated: outlook.machines.find((m) => m.machine === visit.machine)?.hoursNow?.p50 ?? null,
      by: null,
      door: 'command',
      note: null,
      minutes: null,
      findings: [],
      key: null,
    });
    if (confirmation.kind === 'refused') {
      out.error(confirmation.fault.line);
      return exitStatus.badInput;
    }
    const again = confirmation.kind === 'already' ? 'Already on record: ' : '';
    out.line(
      `${again}${confirmation.record.id}: ${sayRecord(confirmation.record, machine, home.household.people, outlook.today, home.household.locale)}`,
    );
    return exitStatus.fine;
  });
}

function namesOf(text: string): string[] {
  const names = text.split(',').map((name) => name.trim());
  if (names.some((name) => name === '')) throw new BadInput('--tasks wants task names with commas between.');
  return names;
}
