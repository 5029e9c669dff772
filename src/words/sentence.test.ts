import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ended, oneLine, shortened, small } from './sentence.js';

test('a title steps into a sentence with a small letter, an abbreviation as it is', () => {
  expect(['Change oil', 'PTO shaft', '12 V battery', 'Re-torque the bolts', 'A look'].map(small)).toEqual([
    'change oil',
    'PTO shaft',
    '12 V battery',
    're-torque the bolts',
    'a look',
  ]);
});

test('one line holds no line break and no control character, whatever was typed', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary' }), (text) => {
      expect(oneLine(text)).not.toMatch(/[\p{Cc}\u2028\u2029]/u);
    }),
  );
});

test('a shortened text is never longer than allowed, and says that it was cut', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'grapheme' }), fc.integer({ min: 2, max: 80 }), (text, most) => {
      const short = shortened(text, most);
      expect([...short].length).toBeLessThanOrEqual(most);
      if ([...text].length > most) expect(short.endsWith('…')).toBe(true);
      else expect(short).toBe(text);
    }),
  );
});

test('a sentence ends once', () => {
  expect(['Done', 'Done.', 'Done?', ''].map(ended)).toEqual(['Done.', 'Done.', 'Done?', '']);
});

test('a sign that would turn the rest of the line round is left out, the letters of any script and joined emoji stay', () => {
  expect(oneLine('mower\u202E: overdue\u2069')).toBe('mower: overdue');
  expect(oneLine('\u05DE\u05DB\u05E1\u05D7\u05EA')).toBe('\u05DE\u05DB\u05E1\u05D7\u05EA');
  expect(oneLine('👩\u200D🌾 mower')).toBe('👩\u200D🌾 mower');
});
