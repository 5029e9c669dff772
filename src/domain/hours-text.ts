import { Fault } from './fault.js';

/** Hours from text as typed: digits with a point or a comma, at most 7 before and 4 behind it, an `h` may follow; no sign, no exponent,
 *  no thousands mark.
 *  @returns finite, >= 0, hours
 *  @throws Fault hours-unreadable
 *  Source: common practice, no source. */
export function parseHoursText(text: string): number {
  const plain = text.trim().replace(/\s*h$/, '');
  if (!/^\d{1,7}([.,]\d{1,4})?$/.test(plain)) {
    throw new Fault({
      code: 'hours-unreadable',
      message: 'These are no hours',
      found: JSON.stringify(text.slice(0, 40)),
      remedy: 'Write a plain number of hours, such as 142.5.',
    });
  }
  return Number(plain.replace(',', '.'));
}
