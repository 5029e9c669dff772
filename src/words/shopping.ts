import type { Household } from '../domain/household.js';
import { convert } from '../domain/quantity.js';
import type { ShoppingItem } from '../domain/results/visit.js';
import { sayCount, sayDecimal, sayNumber } from './counts.js';
import { oneLine } from './sentence.js';

/** All that a visit needs of one thing: `4.2 L engine oil 5W-40`, `1 engine oil filter (number 12-345)`, `2 × fuel filter`.
 *  @param units  `us` says fluids in US quarts (fluid ounces below half a quart) and pounds, with the metric beside them
 *  Source: factors of NIST SP 811 (2008) App. B.8 in domain/quantity. */
export function sayItem(item: ShoppingItem, units: Household['units']): string {
  return sayAmountOf(item, item.quantity, units);
}

/** What is still to buy of it, and how long that takes: `4.2 L engine oil 5W-40, about 3 days to get`. Where some is at
 *  home already it says so. Nothing to buy still names the thing.
 *  @param units  as `sayItem`
 *  Source: as `sayItem`. */
export function sayToBuy(item: ShoppingItem, units: Household['units']): string {
  const home =
    item.inStock > 0 && item.toBuy > 0
      ? ` (${sayAmount(item.unit, item.inStock, units).replace(' × ', '')} at home already)`
      : '';
  const wait = item.leadDays > 0 ? `, about ${sayCount(Math.ceil(item.leadDays), 'day')} to get` : '';
  return `${sayAmountOf(item, item.toBuy, units)}${home}${wait}`;
}

/** What stands beside things that only a bad finding would need. */
export const notBeforeFinding = 'Only if something is found outside its limits: nothing of this is bought before.';

/** What a bad finding would need of one thing, and whether it is at home: `1 fan belt`, `1 fan belt, at home already`.
 *  @param units  as `sayItem`
 *  Source: as `sayItem`. */
export function sayPerhaps(item: ShoppingItem, units: Household['units']): string {
  return `${sayItem(item, units)}${item.toBuy <= 0 ? ', at home already' : ''}`;
}

/** Things by their names alone, for a sentence: `the engine oil filter and the engine oil`, `the fuel filter and two more things`.
 *  @returns `nothing` for no item
 *  Source: common practice, no source. */
export function sayNamesOf(items: readonly ShoppingItem[]): string {
  const [first, second] = items;
  if (first === undefined) return 'nothing';
  if (second === undefined) return `the ${oneLine(first.name)}`;
  if (items.length === 2) return `the ${oneLine(first.name)} and the ${oneLine(second.name)}`;
  return `the ${oneLine(first.name)} and ${sayNumber(items.length - 1)} more things`;
}

/** Volume in the household's units, rounded as one can pour it: `4.2 L`, `120 mL`, `4.4 US qt (4.2 L)`.
 *  @param litres  finite, >= 0
 *  @param units   as `sayItem`
 *  Source: as `sayItem`. */
export function sayVolume(litres: number, units: Household['units']): string {
  const metric = litres < 0.2 ? `${sayDecimal(litres * 1000, 0)} mL` : `${sayDecimal(litres, 2)} L`;
  if (units === 'metric') return metric;
  const quarts = convert({ value: litres, unit: 'L', dimension: 'volume' }, 'US qt');
  if (quarts >= 0.5) return `${sayDecimal(quarts, 1)} US qt (${metric})`;
  return `${sayDecimal(convert({ value: litres, unit: 'L', dimension: 'volume' }, 'US fl oz'), 1)} US fl oz (${metric})`;
}

function sayAmountOf(item: ShoppingItem, quantity: number, units: Household['units']): string {
  return `${sayAmount(item.unit, quantity, units)} ${oneLine(item.name)}${saySpecification(item)}`;
}

/** An amount in the household's units: `4.2 L`, `150 g`, `2 ×`.
 *  @param unit      of the quantity
 *  @param quantity  finite, >= 0
 *  @param units     as `sayItem`
 *  Source: as `sayItem`. */
export function sayAmount(unit: ShoppingItem['unit'], quantity: number, units: Household['units']): string {
  if (unit === 'L') return sayVolume(quantity, units);
  if (unit === 'kg') return sayMass(quantity, units);
  return quantity === 1 ? '1' : `${sayDecimal(quantity, 2)} ×`;
}

function sayMass(kilograms: number, units: Household['units']): string {
  const metric = kilograms < 1 ? `${sayDecimal(kilograms * 1000, 0)} g` : `${sayDecimal(kilograms, 2)} kg`;
  if (units === 'metric') return metric;
  return `${sayDecimal(convert({ value: kilograms, unit: 'kg', dimension: 'mass' }, 'lb'), 1)} lb (${metric})`;
}

function saySpecification(item: ShoppingItem): string {
  const specification = oneLine(item.specification ?? '');
  if (specification === '') return '';
  if (item.kind === 'part') return ` (number ${specification})`;
  // A grade such as 5W-40 follows its name; anything longer is told after a comma.
  return /^[\p{Lu}\d]/u.test(specification) ? ` ${specification}` : `, ${specification}`;
}
