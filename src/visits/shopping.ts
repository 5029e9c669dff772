import type { MachineFacts, ServiceRecord } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import { convert, parseQuantity } from '../domain/quantity.js';
import type { ShoppingItem } from '../domain/results/visit.js';
import type { Fluid, FluidChoice, Part, Task } from '../domain/task.js';
import { partsUsed } from '../domain/used-up.js';

/** One task's need of one thing. */
interface Need {
  readonly task: string;
  readonly kind: ShoppingItem['kind'];
  readonly name: string;
  readonly quantity: number;
  readonly unit: ShoppingItem['unit'];
  readonly specification: string | null;
  readonly leadDays: number;
}

/** Everything the tasks need, the same thing added up over them, in the order of first need. What is in stock or was said
 *  to be in hand for a task lessens what is to buy; stock of one name is used up item by item.
 *  @param tasks      of one visit; work that a dealer does brings its own things and is left out
 *  @param facts      stock by name in lower case (pieces, litres, kilograms) and answers "have it"
 *  @param household  its coldest night chooses the grade
 *  @returns quantities in pieces, litres or kilograms; nothing needed gives []
 *  @throws Fault quantity-unreadable, unit-unknown for a fluid whose quantity is no volume, mass or count
 *  Source: common practice, no source. */
export function listShopping(
  tasks: readonly Task[],
  facts: Pick<MachineFacts, 'stock' | 'answers' | 'records'>,
  household: Pick<Household, 'coldestCelsius'>,
): ShoppingItem[] {
  const needs = tasks.filter((task) => task.by === 'owner').flatMap((task) => needsOf(task, household));
  const groups = new Map<string, Need[]>();
  for (const need of needs) {
    const key = `${need.kind}|${need.name.toLowerCase()}|${need.specification ?? ''}|${need.unit}`;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [need]);
    else group.push(need);
  }
  const taskOf = new Map(tasks.map((task) => [task.id, task]));
  const stock = new Map(Object.entries(facts.stock));
  const items: ShoppingItem[] = [];
  for (const group of groups.values()) {
    const [first] = group;
    if (first === undefined) continue;
    const name = first.name.toLowerCase();
    const onShelf = Math.max(0, stock.get(name) ?? 0);
    const inHand = sum(group.filter((need) => hasPartsFor(taskOf.get(need.task), facts)).map((need) => need.quantity));
    const quantity = sum(group.map((need) => need.quantity));
    const fromShelf = Math.min(onShelf, Math.max(0, quantity - inHand));
    stock.set(name, onShelf - fromShelf);
    items.push({
      kind: first.kind,
      name: first.name,
      quantity: tidy(quantity),
      unit: first.unit,
      specification: first.specification,
      inStock: tidy(onShelf + inHand),
      toBuy: tidy(Math.max(0, quantity - inHand - fromShelf)),
      leadDays: Math.max(...group.map((need) => need.leadDays)),
      tasks: [...new Set(group.map((need) => need.task))],
    });
  }
  return items;
}

/** What only a bad finding would need, added up as above. None of it is bought before something was found outside its limits, from when
 *  on it stands among what the tasks need; what is at home already is told.
 *  @param tasks  as `listShopping`
 *  Source: common practice, no source. */
export function listPerhaps(
  tasks: readonly Task[],
  facts: Pick<MachineFacts, 'stock' | 'answers' | 'records'>,
  household: Pick<Household, 'coldestCelsius'>,
): ShoppingItem[] {
  const branches = tasks.flatMap((task) =>
    task.ifOut?.parts === undefined ? [] : [{ ...task, parts: task.ifOut.parts, fluids: [] }],
  );
  return listShopping(branches, { ...facts, answers: [] }, household);
}

/** Whether somebody said that they have the parts for a task and have not used them since.
 *  Source: common practice, no source. */
function hasPartsFor(task: Task | undefined, facts: Pick<MachineFacts, 'answers' | 'records'>): boolean {
  if (task === undefined) return false;
  const saidMs = Math.max(
    Number.NEGATIVE_INFINITY,
    ...facts.answers.filter((a) => a.kind === 'have-parts' && a.tasks.includes(task.id)).map((a) => a.atMs),
  );
  const used = (record: ServiceRecord) =>
    record.tasks.includes(task.id) &&
    record.enteredAtMs >= saidMs &&
    (task.fluids.length > 0 || task.parts.length === 0 || partsUsed(task, record.findings).length > 0);
  return Number.isFinite(saidMs) && !facts.records.some(used);
}

/** The grade for the cold to come: of the choices that stand it, the one made for the least cold; where none does, the one
 *  that stands the most. Without a known coldest night the one that stands the most, since it serves anywhere.
 *  @param coldestCelsius  coldest night expected, degrees Celsius; undefined: not known
 *  @returns null where the fluid names no grade
 *  Source: common practice, no source; SAE J300 sets what a winter grade must stand. */
export function chooseGrade(fluid: Fluid, coldestCelsius: number | undefined): string | null {
  if (fluid.must !== undefined) return fluid.must;
  const choices = [...(fluid.choices ?? [])].sort((a, b) => standsTo(a) - standsTo(b));
  const fit = coldestCelsius === undefined ? [] : choices.filter((choice) => standsTo(choice) <= coldestCelsius);
  return (fit.at(-1) ?? choices[0])?.grade ?? null;
}

/** What one task needs, each thing once; what the owner set to none is left out.
 *  @param household  its coldest night chooses the grade
 *  @throws  as `listShopping`
 *  Source: common practice, no source. */
export function needsOf(task: Task, household: Pick<Household, 'coldestCelsius'>): Need[] {
  return [
    ...task.parts.map((part) => partNeed(task.id, part)),
    ...task.fluids.map((fluid) => fluidNeed(task.id, fluid, household.coldestCelsius)),
  ].filter((need) => need.quantity > 0);
}

function partNeed(task: string, part: Part): Need {
  const number = part.number?.trim() ?? '';
  return {
    task,
    kind: 'part',
    name: part.name,
    quantity: part.quantity,
    unit: 'pcs',
    specification: number === '' ? null : number,
    leadDays: part.leadDays ?? 0,
  };
}

/** How much a plan says of a fluid, in the unit that amounts are added up in.
 *  @returns litres, kilograms or pieces, >= 0
 *  @throws Fault those of parseQuantity, and for what is no volume, mass or count; a checked plan never raises one
 *  Source: common practice, no source. */
export function amountOf({ quantity }: Pick<Fluid, 'quantity'>): Pick<Need, 'quantity' | 'unit'> {
  const amount = parseQuantity(quantity);
  const unit = amount.dimension === 'mass' ? 'kg' : amount.dimension === 'count' ? 'pcs' : 'L';
  return { quantity: convert(amount, unit), unit };
}

function fluidNeed(task: string, fluid: Fluid, coldestCelsius: number | undefined): Need {
  return {
    task,
    kind: 'fluid',
    name: fluid.name,
    ...amountOf(fluid),
    specification: chooseGrade(fluid, coldestCelsius),
    leadDays: fluid.leadDays ?? 0,
  };
}

/** How cold it may get for a grade, degrees Celsius; minus infinity where it names no cold.
 *  @throws Fault those of parseQuantity, which a checked plan never raises
 *  Source: common practice, no source. */
export function standsTo(choice: FluidChoice): number {
  return choice.coldest === undefined
    ? Number.NEGATIVE_INFINITY
    : convert(parseQuantity(choice.coldest, 'temperature', 'C'), 'C');
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}

/** Adding litres leaves dust such as 5.300000000000001. */
function tidy(quantity: number): number {
  return Math.round(quantity * 1e6) / 1e6;
}
