import type { ServiceRecord } from './facts.js';
import { addMoney, type Money } from './money.js';

/** What was paid in one year in one currency. */
export interface YearOfSpending {
  readonly year: number;
  readonly total: Money;
  /** How many visits it was paid for. */
  readonly visits: number;
}

/** What was paid by the calendar years of the days on which the work was done, each currency by itself; the newest year first.
 *  @param records  those that stand; days are the household's, and so are the years
 *  @throws Fault money-out-of-range
 *  Source: common practice, no source. */
export function spendingByYear(records: readonly ServiceRecord[]): readonly YearOfSpending[] {
  const sums = new Map<string, YearOfSpending>();
  for (const { day, paid } of records) {
    if (paid === undefined) continue;
    const key = `${day.slice(0, 4)} ${paid.money.currency}`;
    const before = sums.get(key);
    sums.set(key, {
      year: Number(day.slice(0, 4)),
      total: before === undefined ? paid.money : addMoney(before.total, paid.money),
      visits: (before?.visits ?? 0) + 1,
    });
  }
  return [...sums.values()].sort(
    (a, b) =>
      b.year - a.year || (a.total.currency < b.total.currency ? -1 : a.total.currency > b.total.currency ? 1 : 0),
  );
}
