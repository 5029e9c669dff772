import { Fault } from './fault.js';
import type { Household } from './household.js';
import { currencyNamed, digitsOf, isCurrency, type Money, mostMinor, plainAmount } from './money.js';

/** What an amount means that says no currency itself, and how this household writes its decimals. */
export interface MoneyHabit {
  /** ISO 4217; null: an amount has to name its own. */
  readonly currency: string | null;
  readonly point: '.' | ',';
}

/** How this household means the amounts that its people write.
 *  Source: common practice, no source. */
export function moneyHabitOf({ currency, locale }: Pick<Household, 'currency' | 'locale'>): MoneyHabit {
  return { currency: currency ?? null, point: decimalPoint(locale) };
}

/** How a locale writes decimals: `.` or `,`.
 *  @param locale  BCP 47
 *  Source: Unicode CLDR, as Intl.NumberFormat gives it. */
export function decimalPoint(locale: string): '.' | ',' {
  const parts = new Intl.NumberFormat(locale, { numberingSystem: 'latn' }).formatToParts(1.5);
  return parts.find(({ type }) => type === 'decimal')?.value === ',' ? ',' : '.';
}

/** An amount as a person writes it: `112.40`, `112,4`, `1,234.50`, `1.234,50`, `1 234,50`, `1'234.50`, with the code or the sign of the
 *  currency before or behind where they like. What stands behind a point or comma decides which of them it is. Three digits there
 *  may be thousands as well: in a currency of three digits the household's own point settles it, in one of two nothing does, so
 *  that it is asked about. In a currency without decimals they are thousands.
 *  @returns whole smallest units, at most `mostMinor`
 *  @throws Fault money-unreadable, money-in-two-ways (a question that names both), money-out-of-range, currency-unknown
 *  Source: common practice, no source. */
export function parseMoney(text: string, habit: MoneyHabit): Money {
  const found = JSON.stringify(text.slice(0, 40));
  const { currency, figures } = splitCurrency(text, habit, found);
  if (/[-−–()]/.test(figures)) {
    throw new Fault({
      code: 'money-unreadable',
      message: 'No amount is below zero here: a refund is a correction',
      found,
      remedy: 'Write at the visit it belongs to what was paid in the end.',
    });
  }
  const digits = digitsOf(currency);
  const example = plainAmount({ currency, minor: 11_240, digits }, habit.point);
  const unreadable = (message: string) =>
    new Fault({ code: 'money-unreadable', message, found, remedy: `Write it such as ${example}.` });
  const plain = figures.replace(/[\s\u00a0\u202f\u2009]/g, ' ').replaceAll('’', "'");
  if (!/^\d+(?:[ '.,]\d+)*$/.test(plain)) throw unreadable('This is no amount of money');
  const parts = plain.split(/[ '.,]/);
  const marks = plain.replace(/\d/g, '');
  const behind = parts.at(-1) ?? '';
  const isLone = parts.length === 2 && /[.,]/.test(marks);
  const isGrouped = isLone && /^[1-9]\d{0,2}$/.test(parts[0] ?? '') && behind.length === 3;
  const fits = behind.length <= digits;
  if (isGrouped && digits > 0 && !(fits && marks === habit.point)) {
    const big = `${parts.join('')}${habit.point}${'0'.repeat(digits)}`;
    const small = `${parts[0]}${habit.point}${behind}`;
    const near = `${parts[0]}${habit.point}${behind.slice(0, digits)}`;
    throw new Fault({
      code: 'money-in-two-ways',
      message: `Is this ${big} ${currency} or ${small} ${currency}?`,
      found,
      remedy: `Write ${big} or ${near}.`,
    });
  }
  const hasDecimals = isLone ? !isGrouped || digits > 0 : isDecimal(marks);
  if (hasDecimals && !fits) {
    throw unreadable(
      digits === 0
        ? `${currency} has no digits behind the point`
        : `${currency} has no more than ${digits} digits behind the point`,
    );
  }
  const whole = hasDecimals ? parts.slice(0, -1) : parts;
  if (!areGroups(whole, hasDecimals ? marks.slice(0, -1) : marks)) throw unreadable('This is no amount of money');
  const units = `${whole.join('')}${(hasDecimals ? behind : '').padEnd(digits, '0')}`.replace(/^0+(?=\d)/, '');
  const minor = units.length > 15 ? Number.POSITIVE_INFINITY : Number(units);
  if (minor > mostMinor) {
    throw new Fault({
      code: 'money-out-of-range',
      message: 'Nobody pays that much for a visit',
      found,
      remedy: `Write at most ${plainAmount({ currency, minor: mostMinor, digits }, habit.point)}.`,
    });
  }
  return { currency, minor, digits };
}

/** Of several marks, the last one stands before decimals where it is a point or comma that comes once. */
function isDecimal(marks: string): boolean {
  const last = marks.at(-1) ?? '';
  return /[.,]/.test(last) && marks.indexOf(last) === marks.length - 1;
}

/** Thousands by threes, or by twos before the last three, as in India; one kind of mark between them. */
function areGroups(parts: readonly string[], marks: string): boolean {
  if (parts.length === 1) return true;
  const [first = '', ...rest] = parts;
  const last = rest.at(-1) ?? '';
  const between = rest.slice(0, -1);
  const isOneKind = [...marks].every((mark) => mark === marks[0]);
  const areEven = between.every(({ length }) => length === 3) || between.every(({ length }) => length === 2);
  return isOneKind && /^[1-9]\d{0,2}$/.test(first) && last.length === 3 && areEven;
}

function splitCurrency(text: string, { currency: usual }: MoneyHabit, found: string) {
  const trimmed = text.trim();
  const [, before, behind] = /^(?:([A-Za-z]{3})(?=[^A-Za-z])|.*(?<=[^A-Za-z])([A-Za-z]{3})$)/s.exec(trimmed) ?? [];
  const named = before ?? behind;
  // Three letters may be a sign of the household's own currency too, such as Lek.
  if (named !== undefined && (usual === null || !signsOf(usual).includes(named) || isCurrency(named.toUpperCase()))) {
    const figures = before === undefined ? trimmed.slice(0, -3) : trimmed.slice(3);
    return {
      currency: currencyNamed(isCurrency(named.toUpperCase()) ? named.toUpperCase() : named),
      figures: figures.trim(),
    };
  }
  if (usual === null) {
    throw new Fault({
      code: 'money-unreadable',
      message: 'This amount has no currency',
      found,
      remedy: 'Write its code behind it, such as 112.40 EUR, or set currency: in household.yaml.',
    });
  }
  const sign = signsOf(usual).find((one) => trimmed.startsWith(one) || trimmed.endsWith(one));
  if (sign === undefined) return { currency: usual, figures: trimmed };
  const figures = trimmed.startsWith(sign) ? trimmed.slice(sign.length) : trimmed.slice(0, -sign.length);
  return { currency: usual, figures: figures.trim() };
}

/** The signs that people write for a currency, the longest first: `US$` and `$`. Source: Unicode CLDR. */
function signsOf(currency: string): readonly string[] {
  const signs = (['symbol', 'narrowSymbol'] as const).map(
    (currencyDisplay) =>
      new Intl.NumberFormat('en', { style: 'currency', currency, currencyDisplay })
        .formatToParts(0)
        .find(({ type }) => type === 'currency')?.value ?? currency,
  );
  return signs.sort((a, b) => b.length - a.length);
}
