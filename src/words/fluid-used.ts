import type { Finding } from '../domain/facts.js';
import { fluidTold } from '../domain/fluid-used.js';
import type { Household } from '../domain/household.js';
import type { Fluid, Task } from '../domain/task.js';
import { amountOfTools } from '../domain/us-units.js';
import { capital, ended, oneLine } from './sentence.js';

/** Above the room on a sheet without fields for fluids that were others than it says. */
export const anotherFluid = 'Fluids, only where something else went in than the sheet says';

/** Room to write down a fluid that is another than the sheet says: `Engine oil (Change engine oil and filter): kind ______ not
 *  3.8 L but ______`, with what the plan demands.
 *  Source: common practice, no source. */
export function sayFluidRoom(
  { name, quantity, must }: Fluid,
  { title }: Pick<Task, 'title'>,
  units: Household['units'],
): string {
  const demanded = must === undefined ? '' : ` The plan demands: ${oneLine(must)}; no other.`;
  return `${capital(oneLine(name))} (${oneLine(title)}): kind ______ not ${oneLine(amountOfTools(quantity, units).said)} but ______${demanded === '' ? '' : '.'}${demanded}`;
}

/** The fluid that really went in: `Engine oil that went in: 5W-40, 4 L.` with the warning where another was demanded.
 *  @returns  null for a finding about something else
 *  Source: common practice, no source. */
export function sayFluidUsed(finding: Finding): string | null {
  const name = fluidTold(finding);
  if (name === null) return null;
  const what = [finding.found ?? 'the kind on the sheet', finding.left].filter((part) => part !== null).join(', ');
  const warning = finding.note === null ? '' : ` ${ended(oneLine(finding.note))}`;
  return `${capital(name)} that went in: ${ended(oneLine(what))}${warning}`;
}
