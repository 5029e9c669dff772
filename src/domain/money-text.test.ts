import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Fault } from './fault.js';
import { addMoney, currencyNamed, digitsOf, mostMinor } from './money.js';
import { parseMoney } from './money-text.js';

const euro = { currency: 'EUR', point: '.' } as const;
const minorOf = (text: string, currency = 'EUR', point: '.' | ',' = '.') => parseMoney(text, { currency, point }).minor;

function faultOf(text: string, currency: string | null = 'EUR', point: '.' | ',' = '.'): Fault {
  try {
    const { minor } = parseMoney(text, { currency, point });
    throw new Error(`${text} was taken as ${minor}`);
  } catch (fault) {
    if (fault instanceof Fault) return fault;
    throw fault;
  }
}

describe('an amount is read by what is written', () => {
  test.each([
    ['112.40', 11_240],
    ['112,40', 11_240],
    ['12,5', 1_250],
    ['12', 1_200],
    ['0', 0],
    ['0.05', 5],
    ['1,234.50', 123_450],
    ['1.234,50', 123_450],
    ['1 234,50', 123_450],
    ['1\u202f234,50', 123_450],
    ["1'234.50", 123_450],
    ['1’234’567.50', 123_456_750],
    ['1,234,567', 123_456_700],
    ['1.234.567', 123_456_700],
    ['12,34,567.50', 123_456_750],
    ['€112.40', 11_240],
    ['112,40 €', 11_240],
    ['112.40 EUR', 11_240],
    ['eur 112.40', 11_240],
    ['  7 ', 700],
  ])('%j is %d cents', (text, minor) => {
    expect(parseMoney(text, euro)).toEqual({ currency: 'EUR', minor, digits: 2 });
  });

  test('one thousand two hundred and thirty-four, or one and a bit: the question names both', () => {
    for (const text of ['1,234', '1.234'])
      expect(faultOf(text)).toMatchObject({
        code: 'money-in-two-ways',
        message: 'Is this 1234.00 EUR or 1.234 EUR?',
        remedy: 'Write 1234.00 or 1.23.',
      });
    expect(faultOf('1.234', 'EUR', ',').remedy).toBe('Write 1234,00 or 1,23.');
    // Both answers go through.
    expect([minorOf('1234.00'), minorOf('1.23')]).toEqual([123_400, 123]);
  });

  test('without decimals the same is thousands; with three of them the own point of the household settles it', () => {
    expect([minorOf('1,234', 'JPY'), minorOf('1.234', 'JPY', ',')]).toEqual([1234, 1234]);
    expect(minorOf('1.234', 'KWD')).toBe(1234);
    expect(minorOf('1,234', 'KWD', ',')).toBe(1234);
    expect(faultOf('1,234', 'KWD')).toMatchObject({
      code: 'money-in-two-ways',
      message: 'Is this 1234.000 KWD or 1.234 KWD?',
      remedy: 'Write 1234.000 or 1.234.',
    });
    expect([minorOf('1234.000', 'KWD'), minorOf('0,125', 'KWD'), minorOf('1.234,567', 'KWD')]).toEqual([
      1_234_000, 125, 1_234_567,
    ]);
  });

  test('another currency than the household’s is told by its code, and an amount without any is refused', () => {
    expect(parseMoney('1.234,50 CHF', euro)).toEqual({ currency: 'CHF', minor: 123_450, digits: 2 });
    expect(parseMoney('JPY 1,234', euro)).toEqual({ currency: 'JPY', minor: 1234, digits: 0 });
    expect(parseMoney('20 USD', { currency: null, point: '.' }).minor).toBe(2000);
    expect(faultOf('20', null)).toMatchObject({ code: 'money-unreadable', message: 'This amount has no currency' });
    expect(faultOf('20 QQQ')).toMatchObject({ code: 'currency-unknown', found: '"QQQ"' });
  });
});

test.each([
  '',
  'lots',
  '1e3',
  '0x10',
  'NaN',
  'Infinity',
  '.50',
  '12.',
  '1..2',
  '1,2,3',
  '12 50',
  '1,23,45',
  '1.234,',
  '１２',
  '12 EUR 3',
  '$5',
  '1,234.5.6',
  '5 5',
  "1'23",
])('%j is no amount in euro', (text) => {
  expect(['money-unreadable', 'currency-unknown']).toContain(faultOf(text).code);
});

test('what is below zero is refused: a refund is a correction', () => {
  for (const text of ['-5', '−5.00', '(5)', '5-', 'EUR -5', '-€5', '-0'])
    expect(faultOf(text).message).toContain('a refund is a correction');
});

test('more decimals than the currency has are refused, and so is more than anybody pays', () => {
  expect(faultOf('1.2345').message).toBe('EUR has no more than 2 digits behind the point');
  expect(faultOf('0.123').message).toBe('EUR has no more than 2 digits behind the point');
  expect(faultOf('12.5', 'JPY').message).toBe('JPY has no digits behind the point');
  expect(minorOf('10000000000')).toBe(mostMinor);
  expect(faultOf('10000000000.01').code).toBe('money-out-of-range');
  expect(faultOf('9'.repeat(400)).code).toBe('money-out-of-range');
});

test('whatever is typed is a whole amount within bounds or a fault with a remedy', () => {
  const typed = fc.oneof(
    fc.string({ unit: fc.constantFrom(..."0123456789.,\u00a0 -€EUR'"), maxLength: 18 }),
    fc.string({ unit: 'grapheme', maxLength: 30 }),
  );
  fc.assert(
    fc.property(typed, fc.constantFrom('EUR', 'JPY', 'KWD'), (text, currency) => {
      try {
        const { minor } = parseMoney(text, { currency, point: '.' });
        expect(Number.isSafeInteger(minor) && minor >= 0 && minor <= mostMinor).toBe(true);
      } catch (fault) {
        if (!(fault instanceof Fault)) throw fault;
        expect(fault.remedy).toBeTruthy();
      }
    }),
    { numRuns: 3000 },
  );
});

// ISO 4217, table A.1, column "minor unit"; these values from memory. They come here by Unicode CLDR, which this runtime holds.
test.each([
  ['JPY', 0],
  ['EUR', 2],
  ['USD', 2],
  ['CHF', 2],
  ['KWD', 3],
  ['TND', 3],
])('%s has %d digits behind the point, as in ISO 4217', (currency, digits) => {
  expect(digitsOf(currency)).toBe(digits);
});

test('only codes in capitals name a currency, and a small one is told how', () => {
  expect(currencyNamed('EUR')).toBe('EUR');
  expect(() => currencyNamed('eur')).toThrow(
    expect.objectContaining({ code: 'currency-unknown', remedy: 'Write EUR.' }),
  );
  for (const text of ['', 'EURO', '€', 'ZZZ']) expect(() => currencyNamed(text)).toThrow(Fault);
});

test('sums are exact, also where the point of a currency was moved between two amounts', () => {
  const one = { currency: 'EUR', minor: 10, digits: 2 };
  expect(addMoney(one, { ...one, minor: 20 })).toEqual({ ...one, minor: 30 });
  expect(addMoney(one, { ...one, minor: 3, digits: 0 })).toEqual({ ...one, minor: 310 });
  expect(() => addMoney(one, { ...one, currency: 'CHF' })).toThrow(RangeError);
  expect(() => addMoney({ ...one, minor: Number.MAX_SAFE_INTEGER }, one)).toThrow(
    expect.objectContaining({ code: 'money-out-of-range' }),
  );
});
