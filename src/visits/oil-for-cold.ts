import type { Household } from '../domain/household.js';
import { convert } from '../domain/quantity.js';
import type { Fluid } from '../domain/task.js';
import { chooseGrade, standsTo } from './shopping.js';

/** Which of a fluid's grades is for the cold to come, and why; that none is, where none is.
 *  @param coldestCelsius  coldest night to expect, degrees Celsius; null: not known
 *  @returns null where the fluid does not choose its grade by the cold
 *  Source: common practice, no source; SAE J300 sets what a winter grade must stand. */
export function sayOilForCold(fluid: Fluid, coldestCelsius: number | null, units: Household['units']): string | null {
  const choices = fluid.choices ?? [];
  const chosen = choices.find(({ grade }) => grade === chooseGrade(fluid, coldestCelsius ?? undefined));
  if (chosen?.coldest === undefined || fluid.must !== undefined) return null;
  const stands = standsTo(chosen);
  const downTo = `for nights down to ${sayDegrees(stands, units)}`;
  if (coldestCelsius === null) {
    return `${fluid.name}: ${chosen.grade}, ${downTo}, the most that this plan names, because your coldest night is not known.`;
  }
  const yours = `your coldest night is ${sayDegrees(coldestCelsius, units)}`;
  return stands <= coldestCelsius
    ? `${fluid.name}: ${chosen.grade}, ${downTo}; ${yours}.`
    : `${fluid.name}: ${chosen.grade} is ${downTo} only, and ${yours}. Ask the machine’s manual for a grade that stands it.`;
}

function sayDegrees(celsius: number, units: Household['units']): string {
  const unit = units === 'us' ? 'F' : 'C';
  const degrees = Math.round(convert({ value: celsius, unit: 'C', dimension: 'temperature' }, unit));
  return `${degrees < 0 ? '−' : ''}${Math.abs(degrees)} °${unit}`;
}
