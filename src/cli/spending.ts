import type { ServiceRecord } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import { plainAmount } from '../domain/money.js';
import { spendingByYear } from '../domain/spending.js';
import { gather } from '../ledger/gather.js';
import { gatherBesides } from '../ledger/gather-all.js';
import { saySpending } from '../words/money.js';
import type { At } from './at.js';
import { machineNamed, withService } from './open-home.js';
import { exitStatus, type Output, print } from './output.js';

/** As typed. */
export interface SpendingOptions {
  readonly json?: true;
}

/** What was done on one machine. One whose file was taken away has its id for a name. */
interface Spender {
  readonly machine: string;
  readonly name: string;
  readonly records: readonly ServiceRecord[];
}

/** `shedbell spending`: what was paid, by year and machine, each currency by itself. Machines whose file was taken away are in it. */
export function runSpending(at: At, named: string | undefined, options: SpendingOptions, out: Output): Promise<number> {
  return withService(at, ({ books }, home) => {
    const only = named === undefined ? null : machineNamed(home, named).id;
    const { machines } = gather(books);
    const formerly = gatherBesides(books).formerly.filter(({ records }) => spendingByYear(records).length > 0);
    const spenders = [...machines, ...formerly]
      .filter(({ machine }) => only === null || machine === only)
      .map(({ machine, records }): Spender => ({ machine, name: nameOf(home, machine), records }));
    const document = {
      machines: spenders.map(({ machine, records }) => ({ machine, years: yearsOf(records) })),
      years: yearsOf(spenders.flatMap(({ records }) => records)),
    };
    print(out, options.json === true, document, linesOf(spenders, home));
    return exitStatus.fine;
  });
}

function nameOf({ machines }: Home, id: string): string {
  return machines.find((machine) => machine.id === id)?.name ?? id;
}

function yearsOf(records: readonly ServiceRecord[]) {
  return spendingByYear(records).map(({ year, total, visits }) => ({
    year,
    currency: total.currency,
    amount: plainAmount(total),
    minorUnits: total.minor,
    visits,
  }));
}

function linesOf(spenders: readonly Spender[], { household }: Home): readonly string[] {
  const said = spenders.flatMap(({ name, records }) => {
    const sums = saySpending(records, household.locale);
    return sums === '' ? [] : [`${name}: ${sums}.`];
  });
  if (said.length > 1) {
    const all = spenders.flatMap(({ records }) => records);
    return [...said, `All together: ${saySpending(all, household.locale)}.`];
  }
  if (said.length > 0) return said;
  const how =
    household.currency === undefined
      ? 'Set currency: in household.yaml, such as EUR; then a visit asks what was paid.'
      : 'Say it when a visit is confirmed, or at its record in the logbook of the machine.';
  return [`No amount is on record. ${how}`];
}
