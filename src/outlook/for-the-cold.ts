import { tasksLimitedByCold } from '../domain/coldest-limit.js';
import { coldestNight } from '../domain/coldest-night.js';
import type { Facts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { sayOilForCold } from '../visits/oil-for-cold.js';

/** A machine whose tasks know how cold it gets here: limits that follow the cold stand at this household's, and what is filled in by
 *  grade says which one and why. Sheets, trends and verdicts all judge by the same.
 *  @throws Fault those of parseQuantity, which a checked plan never raises
 *  Source: common practice, no source. */
export function forTheCold<M extends Pick<Machine, 'tasks'>>(machine: M, household: Household, facts: Facts): M {
  const coldest = coldestNight(household, facts.nights ?? []);
  const { units } = household;
  return {
    ...machine,
    tasks: tasksLimitedByCold(machine.tasks, coldest, units).map((task) => {
      const oils = task.fluids.flatMap((fluid) => sayOilForCold(fluid, coldest, units) ?? []);
      return oils.length === 0 ? task : { ...task, notes: [...oils, ...(task.notes ?? [])] };
    }),
  };
}
