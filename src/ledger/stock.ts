import type { ServiceRecord } from '../domain/facts.js';
import { fluidFinding, wrongFluid } from '../domain/fluid-used.js';
import { convert, parseQuantity } from '../domain/quantity.js';
import type { Task } from '../domain/task.js';
import { partsUsed } from '../domain/used-up.js';
import { findEntry, noteEntry } from '../store/facts/entries.js';
import { addStockMove, stockOf } from '../store/facts/stock.js';
import { type Books, machineCalled } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';

/** Says how much of a part or fluid is at home: pieces, litres, or kilograms.
 *  @param name as the plan names it; upper and lower case are one */
export function setStock(
  books: Books,
  entry: {
    readonly machine: string;
    readonly name: string;
    readonly amount: number;
    readonly by: string | null;
    readonly key: string | null;
  },
): { readonly kind: 'entered' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const machine = machineCalled(books, entry.machine);
      if (entry.key !== null && findEntry(store, entry.key) !== null) return { kind: 'already' as const };
      if (!Number.isFinite(entry.amount) || entry.amount < 0 || entry.amount > 1e6) {
        throw refusal('amount-unreadable', 'This is no amount to have at home', {
          found: String(entry.amount),
          remedy: 'Write a number of at least 0.',
        });
      }
      const name = entry.name.trim().toLowerCase();
      if (name === '') throw refusal('text-empty', 'The part has no name', { remedy: 'Write its name.' });
      const nowMs = books.clock.nowMs();
      const change = entry.amount - atHome(books, machine.id, name);
      if (entry.key !== null) noteEntry(store, entry.key, 'stock', name, nowMs);
      if (change === 0) return { kind: 'already' as const };
      addStockMove(store, { machine: machine.id, name, change, atMs: nowMs, record: null, by: entry.by });
      return { kind: 'entered' as const };
    }),
  );
}

/** Takes what the tasks used out of the stock, as far as there is any: nobody has to keep a stock. Inside a transaction. */
export function useStock(
  books: Books,
  machine: string,
  tasks: readonly Task[],
  { id: record, findings }: Pick<ServiceRecord, 'id' | 'findings'>,
  by: string | null,
): void {
  const used = new Map<string, number>();
  const add = (name: string, amount: number) =>
    used.set(name.toLowerCase(), (used.get(name.toLowerCase()) ?? 0) + amount);
  for (const task of tasks) {
    for (const part of partsUsed(task, findings)) add(part.name, part.quantity);
    for (const fluid of task.fluids) {
      const told = findings.find((one) => one.task === task.id && one.measurement === fluidFinding(fluid));
      // Another kind did not come out of what is at home of this one.
      if (told === undefined || wrongFluid(fluid, told) === null) {
        add(fluid.name, stockAmount(told?.left ?? fluid.quantity));
      }
    }
  }
  for (const [name, amount] of used) {
    const taken = Math.min(amount, atHome(books, machine, name));
    if (taken <= 0) continue;
    addStockMove(books.store, { machine, name, change: -taken, atMs: books.clock.nowMs(), record, by });
  }
}

/** Litres of a volume, kilograms of a mass, pieces of a count. */
function stockAmount(text: string): number {
  const quantity = parseQuantity(text, undefined, 'L');
  if (quantity.dimension === 'volume') return convert(quantity, 'L');
  if (quantity.dimension === 'mass') return convert(quantity, 'kg');
  return quantity.value;
}

function atHome(books: Books, machine: string, name: string): number {
  const stock = stockOf(books.store, [machine]).get(machine) ?? [];
  return stock.find((item) => item.name === name)?.amount ?? 0;
}
