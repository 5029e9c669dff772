import type { Finding } from './facts.js';
import { Fault } from './fault.js';
import type { Household } from './household.js';
import { parseQuantity } from './quantity.js';
import type { Fluid, Task } from './task.js';
import { amountOfTools } from './us-units.js';

const marker = 'fluid ';

/** What a finding about the fluid that really went in is called, beside the ids of measurements, which hold no blank.
 *  Source: common practice, no source. */
export function fluidFinding({ name }: Pick<Fluid, 'name'>): string {
  return `${marker}${name}`;
}

/** The fluid that a finding tells of: `found` is its kind, `left` the amount; null where it is about something else.
 *  Source: common practice, no source. */
export function fluidTold({ measurement }: Pick<Finding, 'measurement'>): string | null {
  return measurement.startsWith(marker) ? measurement.slice(marker.length) : null;
}

/** Note of a finding where a person says that what went in is as demanded, under a name of its own: the words of a demand are
 *  seldom those on a can.
 *  Source: common practice, no source. */
export const meetsDemand = 'It meets what the plan demands, as its label says';

/** What is said where a job demands one kind of fluid and another went in.
 *  @param told  the kind as typed, null: what the sheet says; with `meetsDemand` as its note it is another name only
 *  @returns     null where nothing is demanded or what is demanded went in
 *  Source: common practice, no source. */
export function wrongFluid(fluid: Fluid, { found, note }: Pick<Finding, 'found' | 'note'>): string | null {
  if (fluid.must === undefined || found === null || note === meetsDemand) return null;
  if (plain(found) === plain(fluid.must)) return null;
  return `WARNING: the wrong fluid can ruin the machine. The plan demands “${fluid.must}”. Do not start or run the machine; look into its manual, drain what went in and fill the right one, or ask a licensed workshop`;
}

/** The fluid of a task that a finding tells of; null where it tells of none of them.
 *  Source: common practice, no source. */
export function fluidOf(task: Pick<Task, 'fluids'> | undefined, finding: Pick<Finding, 'measurement'>): Fluid | null {
  const name = fluidTold(finding);
  return task?.fluids.find((fluid) => fluid.name === name) ?? null;
}

/** An amount as typed, where it has no unit with the one that the household is shown; more than nothing.
 *  @throws Fault quantity-unreadable, unit-unknown
 *  Source: common practice, no source. */
export function amountUsed(fluid: Fluid, text: string, units: Household['units']): string {
  const { dimension } = parseQuantity(fluid.quantity, undefined, 'L');
  const { said, unit } = amountOfTools(fluid.quantity, units);
  if (parseQuantity(text, dimension, unit).value <= 0) {
    throw new Fault({
      code: 'quantity-unreadable',
      message: 'This is no amount of a fluid',
      found: JSON.stringify(text.slice(0, 60)),
      remedy: `Write it such as ${said}, or leave it empty.`,
    });
  }
  return /[a-zA-Z]/.test(text) ? text : `${text} ${unit}`;
}

function plain(text: string): string {
  return text
    .toLowerCase()
    .replace(/[\s.,;]+/g, ' ')
    .trim();
}
