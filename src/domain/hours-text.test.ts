import { expect, it } from 'vitest';
import { Fault } from './fault.js';
import { parseHoursText } from './hours-text.js';

it.each([
  ['142', 142],
  ['142.5', 142.5],
  ['142,5', 142.5],
  [' 142,25 h ', 142.25],
  ['0', 0],
  ['1281.125', 1281.125],
  ['1,2815', 1.2815],
])('%j is %d hours', (text, hours) => {
  expect(parseHoursText(text)).toBe(hours);
});

it.each([
  '',
  ' ',
  'text',
  'NaN',
  'Infinity',
  '1e308',
  '1e3',
  '0x10',
  '-5',
  '-0',
  '+5',
  '.5',
  '5.',
  '12,5,3',
  '1.281,5',
  '12 5',
  '１２',
  '12345678',
  '1.23456',
])('%j are no hours', (text) => {
  expect(() => parseHoursText(text)).toThrow(expect.objectContaining({ code: 'hours-unreadable' }));
});

it('a comma that may stand between thousands is asked about, not taken as a decimal one', () => {
  // Pages write twelve hundred hours as 1,281 h; whoever copies that must not get one hour and a bit.
  for (const [text, remedy] of [
    ['1,281', 'Write 1281 or 1.281.'],
    ['12,500 h', 'Write 12500 or 12.500.'],
  ] as const) {
    expect(() => parseHoursText(text)).toThrow(Fault);
    expect(() => parseHoursText(text)).toThrow(expect.objectContaining({ code: 'hours-unreadable', remedy }));
  }
});
