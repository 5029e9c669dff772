import type { ServiceRecord } from '../domain/facts.js';
import { type Money, plainAmount } from '../domain/money.js';
import { spendingByYear } from '../domain/spending.js';
import { joinAnd } from './counts.js';
import { oneLine } from './sentence.js';

/** An amount as this household writes numbers, its code behind it: `1,234.50 EUR`, `1.234,50 EUR`.
 *  @param locale  BCP 47
 *  Source: Unicode CLDR, as Intl.NumberFormat gives it; exact, since it is handed text and no float. */
export function sayMoney(money: Money, locale: string): string {
  const { digits, currency } = money;
  const format = new Intl.NumberFormat(locale, {
    numberingSystem: 'latn',
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  });
  const figures = format.format(plainAmount(money) as `${number}`);
  return `${figures}\u00a0${currency}`;
}

/** What a visit cost, within a line about it: `Paid 112.40 EUR, oil and filter.`; '' where nobody said.
 *  @param locale  BCP 47
 *  Source: common practice, no source. */
export function sayPaid({ paid }: Pick<ServiceRecord, 'paid'>, locale: string): string {
  if (paid === undefined) return '';
  const what = paid.what === null ? '' : ` for ${oneLine(paid.what)}`;
  return `Paid ${sayMoney(paid.money, locale)}${what}.`;
}

/** What was paid, year by year: `112.40 EUR in 2026, 85.10 EUR and 20.00 CHF in 2025`; '' where nothing is on record.
 *  @param locale  BCP 47
 *  Source: common practice, no source. */
export function saySpending(records: readonly ServiceRecord[], locale: string): string {
  const sums = spendingByYear(records);
  const years = [...new Set(sums.map(({ year }) => year))];
  return years
    .map((year) => {
      const totals = sums.filter((sum) => sum.year === year).map(({ total }) => sayMoney(total, locale));
      return `${joinAnd(totals)} in ${year}`;
    })
    .join(', ');
}
