import fc from 'fast-check';
import { expect, test } from 'vitest';
import { unbroken } from './unbroken.js';

const plain = (text: string) => text.replaceAll('\u00a0', ' ');

test('a number and its unit stay on one line, also where the unit is two words', () => {
  for (const [text, parts] of [
    ['By Ines, 43 min.', ['43\u00a0min.']],
    ['1 h 26 of work at 405.1 h', ['1\u00a0h\u00a026', '405.1\u00a0h']],
    ['set to 90 N m (66.4 lbf ft), crosswise', ['90\u00a0N\u00a0m', '66.4\u00a0lbf\u00a0ft']],
    ['160 kPa ± 10 kPa', ['160\u00a0kPa ±\u00a010\u00a0kPa']],
    ['protects to −26 °C or colder', ['−26\u00a0°C or colder']],
    ['4 US qt (3.8 L)', ['4\u00a0US\u00a0qt', '3.8\u00a0L']],
    ['at least 70 % of it', ['70\u00a0% of it']],
  ] as const) {
    for (const part of parts) expect(unbroken(text)).toContain(part);
    expect(plain(unbroken(text))).toBe(text);
  }
});

test('a word behind a number that only begins like a unit may go to the next line', () => {
  for (const text of ['in 2 hours', '3 machines', '5 in the shed', '2 litres', '12 points', '4 Nuts', '20 11']) {
    expect(unbroken(text)).toBe(text);
  }
});

test('nothing but blanks ever changes, and doing it twice changes nothing more', () => {
  fc.assert(
    fc.property(
      fc.string({ unit: fc.constantFrom('1', '2', ' ', 'h', 'min', 'N m', '±', '°C', 'V', ',', 'a') }),
      (text) => {
        const once = unbroken(text);
        expect(plain(once)).toBe(text);
        expect(unbroken(once)).toBe(once);
      },
    ),
  );
});
