import type { RequestHandler } from 'express';
import type { Household } from '../domain/household.js';
import { convert, parseQuantity } from '../domain/quantity.js';
import type { Fluid } from '../domain/task.js';
import { setStock } from '../ledger/stock.js';
import { sayDecimal } from '../words/counts.js';
import { sayMachine } from '../words/machine.js';
import { capital } from '../words/sentence.js';
import type { Assets } from './assets.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { newFormKey, readForm } from './guard/form.js';
import { Page, sendPage } from './layout.js';
import { KeyField, wayToMachine } from './pieces.js';
import { type Shown, showMachine } from './shown.js';

type MachineHandler = RequestHandler<{ id: string }>;

/** Something that the plan uses, and how much of it is at home. */
interface Kept {
  readonly name: string;
  readonly unit: 'pieces' | 'L' | 'kg';
  /** Null where nobody ever counted it. */
  readonly amount: number | null;
}

/** What is at home for a machine, to be counted by hand; each field that is changed is written down. */
export function stockPage(given: Given, assets: Assets): MachineHandler {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    const { machine } = shown;
    const kept = keptFor(shown);
    sendPage(
      response,
      200,
      <Page title={`At home · ${machine.name}`} up={wayToMachine(machine)} assets={assets}>
        <h1>What is at home for {sayMachine(machine)}.</h1>
        <p class="second">
          {kept.length === 0
            ? 'Its plan uses up nothing.'
            : 'Count it once, if you like. What a job uses is taken off when the job is confirmed; what stays empty counts as not at home.'}
        </p>
        {kept.length === 0 ? null : (
          <form method="post" action={`/machines/${machine.id}/stock`}>
            <KeyField value={newFormKey()} />
            {kept.map((one) => {
              const { name, unit } = one;
              return (
                <label>
                  <span>
                    {capital(name)}, {countedIn(unit, shown.household.units)}
                  </span>
                  <input
                    name={`amount ${name.toLowerCase()}`}
                    inputmode="decimal"
                    autocomplete="off"
                    maxlength={12}
                    value={shownAmount(one, shown.household.units)}
                  />
                </label>
              );
            })}
            <button class="act main" type="submit">
              Write it down
            </button>
          </form>
        )}
      </Page>,
    );
  };
}

/** Takes the count. An empty field of what was never counted says nothing; one that was emptied says that nothing is left. */
export function takeStock(given: Given): MachineHandler {
  return (request, response) => {
    const shown = showMachine(given, request.params.id);
    const form = readForm(request);
    const { units } = shown.household;
    const counted = keptFor(shown).flatMap((kept, index) => {
      const { name, amount, unit } = kept;
      const field = `amount ${name.toLowerCase()}`;
      if (!form.has(field)) return [];
      const text = form.text(field);
      if (text === '' && amount === null) return [];
      // Converted there and back it would be another amount.
      if (amount !== null && text === shownAmount(kept, units)) return [];
      return [
        {
          name,
          amount: text === '' ? 0 : toKept(readAmount(name, text), unit, units),
          key: `${form.key.slice(0, 56)}-${index}`,
        },
      ];
    });
    for (const { name, amount, key } of counted) {
      const outcome = setStock(given.books, { machine: shown.machine.id, name, amount, by: null, key });
      if (outcome.kind === 'refused') throw outcome.fault;
    }
    given.changed();
    response.redirect(303, `/machines/${shown.machine.id}/stock`);
  };
}

/** The unit in which a household counts: litres are US quarts to one with US units, which is how oil is sold there.
 *  Source: common practice, no source. */
function countedIn(unit: Kept['unit'], units: Household['units']): Kept['unit'] | 'US qt' {
  return unit === 'L' && units === 'us' ? 'US qt' : unit;
}

function shownAmount({ amount, unit }: Kept, units: Household['units']): string {
  if (amount === null) return '';
  const isQuarts = countedIn(unit, units) === 'US qt';
  return sayDecimal(isQuarts ? convert({ value: amount, unit: 'L', dimension: 'volume' }, 'US qt') : amount, 3);
}

/** As it is kept: litres, kilograms or pieces. */
function toKept(amount: number, unit: Kept['unit'], units: Household['units']): number {
  const isQuarts = countedIn(unit, units) === 'US qt';
  return isQuarts ? convert({ value: amount, unit: 'US qt', dimension: 'volume' }, 'L') : amount;
}

function readAmount(name: string, text: string): number {
  const amount = Number(text.replace(',', '.'));
  if (!/^\d{1,6}([.,]\d{1,3})?$/.test(text) || !Number.isFinite(amount)) {
    throw pageFault({
      code: 'amount-unreadable',
      message: `${capital(name)}: this is no amount to have at home`,
      found: JSON.stringify(text.slice(0, 20)),
      remedy: 'Go back and write a number such as 2 or 1.5, or leave it empty. Nothing was changed.',
    });
  }
  return amount;
}

/** Parts and fluids of the owner's own tasks, each name once, in the order of the plan. */
function keptFor({ machine, facts }: Shown): readonly Kept[] {
  const kept = new Map<string, Kept>();
  const add = (name: string, unit: Kept['unit']) => {
    const key = name.toLowerCase();
    if (!kept.has(key)) kept.set(key, { name, unit, amount: facts.stock[key] ?? null });
  };
  for (const task of machine.tasks.filter(({ by }) => by === 'owner')) {
    for (const part of task.parts) add(part.name, 'pieces');
    for (const fluid of task.fluids) add(fluid.name, unitOf(fluid));
  }
  return [...kept.values()];
}

function unitOf({ quantity }: Fluid): Kept['unit'] {
  const { dimension } = parseQuantity(quantity, undefined, 'L');
  return dimension === 'mass' ? 'kg' : dimension === 'volume' ? 'L' : 'pieces';
}
