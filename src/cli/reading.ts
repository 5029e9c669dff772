import { formatInstant, parseInstant } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Machine } from '../domain/machine.js';
import { pageAddress } from '../domain/page-address.js';
import { enterReading, type ReadingEntry, readHoursText } from '../ledger/enter-reading.js';
import { questionsAnsweredBy } from '../ledger/told.js';
import { sayReadHours } from '../words/hours.js';
import { type At, optionValue } from './at.js';
import { machineNamed, withService } from './open-home.js';
import { BadInput, exitStatus, type Output, print } from './output.js';

/** As typed. */
export interface ReadingOptions {
  readonly at?: string;
  readonly confirm?: true;
  readonly json?: true;
}

/** `shedbell reading MACHINE HOURS`: what the hour meter shows. Questionable ones are kept aside and exit 2. */
export function runReading(
  at: At,
  machineName: string,
  hoursText: string,
  options: ReadingOptions,
  out: Output,
): Promise<number> {
  return withService(at, ({ books }, home) => {
    const machine = machineNamed(home, machineName);
    const hours = readHoursText(hoursText);
    if (machine.meter.kind === 'none') throw new BadInput(sayWithoutMeter(machine, home));
    const atMs =
      options.at === undefined
        ? books.clock.nowMs()
        : optionValue('--at', options.at, (text) => parseInstant(text, home.household.zone));
    const entry = enterReading(books, {
      machine: machine.id,
      hours,
      atMs,
      by: null,
      door: 'command',
      confirm: options.confirm === true,
      key: null,
    });
    if (entry.kind === 'refused') {
      out.error(entry.fault.line);
      return exitStatus.badInput;
    }
    if (entry.kind === 'aside') {
      if (options.json === true) print(out, true, documentOf(machine, entry), []);
      out.error(`question: ${entry.aside.question} If it is right, enter it again with --confirm.`);
      return exitStatus.badInput;
    }
    const { id } = entry.reading;
    const said = `${machine.name}: ${sayReadHours(entry.reading.hours)}`;
    const lines =
      entry.kind === 'already'
        ? [`${said} was written down before, as ${id}; it counts once.`]
        : [
            `${said} is written down as ${id}; take it back: shedbell undo ${id}`,
            ...questionsAnsweredBy(books, id).map((asked) => `It answers the question about ${sayReadHours(asked)}.`),
          ];
    print(out, options.json === true, documentOf(machine, entry), lines);
    return exitStatus.fine;
  });
}

function documentOf(machine: Machine, entry: Exclude<ReadingEntry, { kind: 'refused' }>) {
  const { id, atMs, hours } = entry.kind === 'aside' ? entry.aside : entry.reading;
  const seen = { kind: entry.kind, id, machine: machine.id, at: formatInstant(atMs), hours };
  if (entry.kind !== 'aside') return seen;
  const { question, suggestionHours } = entry.aside;
  return { ...seen, question, suggestionHours };
}

/** What to do for a machine that shows no hours. */
function sayWithoutMeter(machine: Machine, { household }: Home): string {
  const page = pageAddress(household, household.http.port);
  return `${machine.name} has no hour meter (meter: none), so there is nothing to read. Say how long it ran on its page, under "Enter a run": ${page}/machines/${machine.id}/reading (open while shedbell start runs).`;
}
