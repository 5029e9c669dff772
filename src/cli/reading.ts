import { parseInstant } from '../domain/day.js';
import { enterReading, readHoursText } from '../ledger/enter-reading.js';
import { sayReadHours } from '../words/hours.js';
import { type At, optionValue } from './at.js';
import { machineNamed, withService } from './open-home.js';
import { exitStatus, type Output } from './output.js';

/** `shedbell reading MACHINE HOURS`: what the hour meter shows. Questionable ones are kept aside and exit 2. */
export function runReading(
  at: At,
  machineName: string,
  hoursText: string,
  options: { readonly at?: string; readonly confirm?: true },
  out: Output,
): Promise<number> {
  return withService(at, (service, home) => {
    const machine = machineNamed(home, machineName);
    const hours = readHoursText(hoursText);
    const atMs =
      options.at === undefined
        ? service.books.clock.nowMs()
        : optionValue('--at', options.at, (text) => parseInstant(text, home.household.zone));
    const entry = enterReading(service.books, {
      machine: machine.id,
      hours,
      atMs,
      by: null,
      door: 'command',
      confirm: options.confirm === true,
      key: null,
    });
    switch (entry.kind) {
      case 'counted':
        out.line(`${machine.name}: ${sayReadHours(entry.reading.hours)} is written down.`);
        return exitStatus.fine;
      case 'already':
        out.line(`${machine.name}: ${sayReadHours(entry.reading.hours)} was written down before; it counts once.`);
        return exitStatus.fine;
      case 'aside':
        out.error(`question: ${entry.aside.question} If it is right, enter it again with --confirm.`);
        return exitStatus.badInput;
      case 'refused':
        out.error(entry.fault.line);
        return exitStatus.badInput;
    }
  });
}
