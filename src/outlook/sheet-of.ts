import { type Facts, noFacts } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import { withMending } from '../domain/mending.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import { writeSheet } from '../sheet/write-sheet.js';
import { forTheCold } from './for-the-cold.js';

/** The bench sheet of a visit, from the machine's plan and its facts.
 *  @returns null where the machine is no longer in the home folder
 *  Source: common practice, no source. */
export function sheetOf(home: Home, facts: Facts, visit: Visit): Sheet | null {
  const machine = home.machines.find((m) => m.id === visit.machine);
  if (machine === undefined) return null;
  const known = facts.machines.find((m) => m.machine === machine.id) ?? noFacts(machine.id);
  const asItStands = withMending(forTheCold(machine, home.household, facts), known);
  return writeSheet(visit, asItStands, known, home.household.setUpMinutes, home.household.units);
}
