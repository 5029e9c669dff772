import type { Day } from '../domain/day.js';
import type { Facts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { type Dimension, parseQuantity } from '../domain/quantity.js';
import type { Label } from '../domain/results/label.js';
import type { Specification } from '../domain/specification.js';
import { withWeather } from '../forecast/weather.js';
import { sayLimitsIn } from '../inspection/limits-in-units.js';
import { beforeUseOf } from '../sheet/write-sheet.js';
import { needsOf } from '../visits/shopping.js';

/** What is set with a gauge or a wrench at the machine; the rest is measured with the bench sheet at hand. */
const setByHand: readonly Dimension[] = ['pressure', 'torque'];

/** What one looks for at a machine: checks before use, pressures and torques, what it takes of which fluid, numbers of parts.
 *  @param household  its coldest night, named or learnt by today, chooses the grade
 *  @throws Fault of needsOf and sayLimitsIn, which a checked plan never raises
 *  Source: common practice, no source. */
export function labelOf({ tasks }: Pick<Machine, 'tasks'>, household: Household, facts: Facts, today: Day): Label {
  const weather = withWeather(household, facts.nights ?? [], today);
  const needs = tasks.flatMap((task) => needsOf(task, weather).map((need) => ({ ...need, title: task.title })));
  const fluids = needs.filter(({ kind }) => kind === 'fluid');
  return {
    beforeUse: beforeUseOf(tasks),
    settings: once(
      tasks
        .flatMap(({ measure }) => measure)
        .filter(({ specification }) => isSetByHand(specification))
        .map(({ name, specification }) => ({ name, limits: sayLimitsIn(specification, household.units) })),
    ),
    fluids: once(
      fluids.map(({ name, quantity, unit, specification, title }) => ({
        name,
        quantity,
        unit,
        grade: specification,
        work: fluids.some((other) => other.name === name && other.quantity !== quantity) ? title : null,
      })),
    ),
    parts: once(
      needs.filter(({ kind }) => kind === 'part').map(({ name, specification }) => ({ name, number: specification })),
    ),
  };
}

function isSetByHand(specification: Specification): boolean {
  switch (specification.kind) {
    case 'setTo':
      return setByHand.includes(parseQuantity(specification.value).dimension);
    case 'nominal':
      return setByHand.includes(parseQuantity(specification.nominal).dimension);
    case 'range':
    case 'atLeast':
      return setByHand.includes(parseQuantity(specification.min).dimension);
    case 'atMost':
      return setByHand.includes(parseQuantity(specification.max).dimension);
    default:
      return false;
  }
}

/** Two tasks that say the same thing say it once. */
function once<Line>(lines: readonly Line[]): Line[] {
  return [...new Map(lines.map((line) => [JSON.stringify(line), line])).values()];
}
