import { Fault } from './fault.js';

/** An amount of money, never a float: a whole number of the currency's smallest units. */
export interface Money {
  /** ISO 4217 code, such as EUR. */
  readonly currency: string;
  /** Smallest units of it, a whole number from 0 to `mostMinor`; a sum may be larger, and is exact up to 2^53. */
  readonly minor: number;
  /** How many digits of `minor` stand behind the point, as when it was written down: a later table of currencies moves no point. */
  readonly digits: number;
}

/** Most smallest units that one amount may have: ten thousand million in a currency of two digits. Common practice, no source. */
export const mostMinor = 1_000_000_000_000;

/** The code of a currency, in capitals.
 *  @throws Fault currency-unknown, naming the code in capitals where only that is wrong
 *  Source: ISO 4217, as this computer's own table of currencies (Unicode CLDR) has it. */
export function currencyNamed(text: string): string {
  if (isCurrency(text)) return text;
  const capitals = text.trim().toUpperCase();
  throw new Fault({
    code: 'currency-unknown',
    message: 'There is no currency of that code',
    found: JSON.stringify(text.slice(0, 20)),
    remedy: isCurrency(capitals)
      ? `Write ${capitals}.`
      : 'Write its three letters by ISO 4217, such as EUR, GBP or USD.',
  });
}

/** Whether these are the three letters of a currency, in capitals. Source: ISO 4217 by Unicode CLDR. */
export function isCurrency(text: string): boolean {
  return /^[A-Z]{3}$/.test(text) && Intl.supportedValuesOf('currency').includes(text);
}

/** How many digits stand behind the point: 2 of EUR, 0 of JPY, 3 of KWD.
 *  @param currency  its ISO 4217 code
 *  @returns 0 to 4; where the smallest coins are long gone, as those of HUF, CLDR says 0 although ISO 4217 says 2
 *  Source: ISO 4217 by Unicode CLDR, as Intl.NumberFormat gives it. */
export function digitsOf(currency: string): number {
  const { maximumFractionDigits } = new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions();
  return maximumFractionDigits ?? 2;
}

/** The amount as other programs read it: digits with a point, nothing between thousands, no currency: `1234.50`.
 *  Source: common practice, no source. */
export function plainAmount({ minor, digits }: Money, point: '.' | ',' = '.'): string {
  const figures = String(minor).padStart(digits + 1, '0');
  return digits === 0 ? figures : `${figures.slice(0, -digits)}${point}${figures.slice(-digits)}`;
}

/** The sum of two amounts of one currency, exact.
 *  @throws Fault money-out-of-range past 2^53 smallest units; RangeError where the currencies differ
 *  Source: common practice, no source. */
export function addMoney(one: Money, other: Money): Money {
  if (one.currency !== other.currency) throw new RangeError('amounts of two currencies have no sum');
  const digits = Math.max(one.digits, other.digits);
  const minor = one.minor * 10 ** (digits - one.digits) + other.minor * 10 ** (digits - other.digits);
  if (!Number.isSafeInteger(minor)) {
    throw new Fault({
      code: 'money-out-of-range',
      message: 'These amounts have no sum that can be told exactly',
      remedy: 'One of them must be mistyped: correct it in the logbook.',
    });
  }
  return { currency: one.currency, minor, digits };
}
