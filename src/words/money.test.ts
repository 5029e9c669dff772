import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseDay } from '../domain/day.js';
import type { ServiceRecord } from '../domain/facts.js';
import { digitsOf, type Money, mostMinor, plainAmount } from '../domain/money.js';
import { decimalPoint, parseMoney } from '../domain/money-text.js';
import { sayMoney, sayPaid, saySpending } from './money.js';

const euro = (minor: number): Money => ({ currency: 'EUR', minor, digits: 2 });
const plainBlanks = (text: string) => text.replaceAll('\u00a0', ' ');

function recordPaid(day: string, money: Money | null, what: string | null = null): ServiceRecord {
  return {
    id: `record-${day}`,
    machine: 'hill-tractor',
    visit: null,
    tasks: [],
    day: parseDay(day),
    hours: null,
    hoursKnown: 'unknown',
    by: null,
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    enteredAtMs: 0,
    ...(money === null ? {} : { paid: { id: 'paid-1', money, what, atMs: 0, by: null } }),
  };
}

test('years stand newest first, each currency by itself, and what nobody told is in no sum', () => {
  const records = [
    recordPaid('2025-12-31', euro(8510)),
    recordPaid('2026-01-01', euro(10_000)),
    recordPaid('2026-08-03', euro(1240)),
    recordPaid('2026-08-03', { currency: 'CHF', minor: 2000, digits: 2 }),
    recordPaid('2026-09-03', null),
  ];
  expect(plainBlanks(saySpending(records, 'en-GB'))).toBe('20.00 CHF and 112.40 EUR in 2026, 85.10 EUR in 2025');
  expect(saySpending([recordPaid('2026-09-03', null)], 'en-GB')).toBe('');
});

test('an amount is said as the household writes numbers, with what it was for', () => {
  expect(sayMoney(euro(123_450), 'de-DE')).toBe('1.234,50\u00a0EUR');
  expect(sayMoney(euro(123_450), 'en-IE')).toBe('1,234.50\u00a0EUR');
  expect(sayMoney({ currency: 'JPY', minor: 1234, digits: 0 }, 'ja-JP')).toBe('1,234\u00a0JPY');
  expect(plainBlanks(sayPaid(recordPaid('2026-09-03', euro(0), 'a filter,\nunder warranty'), 'en-GB'))).toBe(
    'Paid 0.00 EUR for a filter, under warranty.',
  );
  expect(sayPaid(recordPaid('2026-09-03', null), 'en-GB')).toBe('');
});

test('what is said of an amount, and what other programs read, is read as the same amount: every currency, many locales', () => {
  const locales = [
    'en-GB',
    'en-US',
    'de-DE',
    'de-CH',
    'fr-FR',
    'es-ES',
    'pt-PT',
    'sv-SE',
    'pl-PL',
    'lv',
    'en-IN',
    'hi-IN',
    'en-ZA',
    'ar-EG',
    'ja-JP',
  ];
  const amount = fc.record({
    currency: fc.constantFrom(...Intl.supportedValuesOf('currency')),
    minor: fc.oneof(
      fc.integer({ min: 0, max: mostMinor }),
      fc.integer({ min: 0, max: 20_000 }),
      fc.constant(mostMinor),
    ),
  });
  fc.assert(
    fc.property(amount, fc.constantFrom(...locales), ({ currency, minor }, locale) => {
      const money = { currency, minor, digits: digitsOf(currency) };
      const point = decimalPoint(locale);
      expect(parseMoney(sayMoney(money, locale), { currency: null, point })).toEqual(money);
      expect(parseMoney(plainAmount(money, point), { currency, point })).toEqual(money);
    }),
    { numRuns: 3000 },
  );
});
