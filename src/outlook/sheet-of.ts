import { expectedUnitIn } from '../domain/expected-unit.js';
import { type Facts, noFacts } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Household } from '../domain/household.js';
import { withMending } from '../domain/mending.js';
import type { Sheet, SheetLine } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import type { Fluid, Task } from '../domain/task.js';
import { sayAmountIn, sayLimitsIn } from '../inspection/limits-in-units.js';
import { sayLimits } from '../inspection/say-limits.js';
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
  const sheet = writeSheet(visit, asItStands, known, home.household.setUpMinutes, home.household.units);
  return { ...sheet, lines: sheet.lines.map((line) => inUnits(line, asItStands.tasks, home.household.units)) };
}

/** How much is filled in, of a fluid that a note is about. */
function withAmountIn(text: string, { name, quantity }: Fluid, units: Household['units']): string {
  const plain = `${name}, ${quantity}: `;
  return text.startsWith(plain) ? `${name}, ${sayAmountIn(quantity, units)}: ${text.slice(plain.length)}` : text;
}

/** Limits and amounts as the household's own tools show them. What is adjusted by steps says its own words. */
function inUnits(line: SheetLine, tasks: readonly Task[], units: Household['units']): SheetLine {
  if (line.kind === 'note') {
    const fluids = tasks.find(({ id }) => id === line.task)?.fluids ?? [];
    return { ...line, text: fluids.reduce((text, fluid) => withAmountIn(text, fluid, units), line.text) };
  }
  if (line.kind !== 'measurement') return line;
  const { specification } = line.measurement;
  const unit = expectedUnitIn(specification, units);
  if (specification.kind !== 'adjustThen') return { ...line, unit, limits: sayLimitsIn(specification, units) };
  const { min, max } = specification;
  const [plain, beside] = [sayLimits({ kind: 'range', min, max }), sayLimitsIn({ kind: 'range', min, max }, units)];
  return { ...line, unit, limits: line.limits.replace(plain, () => beside) };
}
