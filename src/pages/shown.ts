import { type MachineFacts, noFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import { forTheCold } from '../outlook/for-the-cold.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';

/** One machine with all that is known of it at this moment. */
export interface Shown {
  readonly machine: Machine;
  /** The same with the limits that follow the cold where this household's coldest night puts them. */
  readonly judged: Machine;
  readonly facts: MachineFacts;
  /** Null where the outlook leaves the machine out. */
  readonly ahead: MachineOutlook | null;
  readonly outlook: Outlook;
  readonly household: Household;
}

/** The machine that an address names.
 *  @throws Fault machine-unknown */
export function showMachine(given: Given, id: string): Shown {
  const home = given.books.home();
  const machine = home.machines.find((one) => one.id === id);
  if (machine === undefined) {
    throw pageFault({
      code: 'machine-unknown',
      message: 'No machine of that name is set up',
      found: JSON.stringify(id.slice(0, 60)),
      remedy: `Set up are: ${home.machines.map((one) => one.name).join(', ') || 'none yet'}.`,
    });
  }
  const outlook = given.latest();
  return {
    machine,
    judged: forTheCold(machine, home.household, given.facts()),
    facts: given.facts().machines.find((one) => one.machine === id) ?? noFacts(id),
    ahead: outlook.machines.find((one) => one.machine === id) ?? null,
    outlook,
    household: home.household,
  };
}
