import { Fault } from './fault.js';

/** Hours from text as typed: digits with a point or a comma, at most 7 before and 4 behind it, an `h` may follow; no sign, no exponent,
 *  no thousands mark. A comma with exactly three digits behind it may be one, so it is refused: `1,281` could be told as 1.281 or 1281.
 *  @returns finite, >= 0, hours
 *  @throws Fault hours-unreadable
 *  Source: common practice, no source. */
export function parseHoursText(text: string): number {
  const plain = text.trim().replace(/\s*h$/, '');
  if (!/^\d{1,7}([.,]\d{1,4})?$/.test(plain)) {
    throw unreadable('These are no hours', text, 'Write a plain number of hours, such as 142.5.');
  }
  if (/,\d{3}$/.test(plain)) {
    const both = `${plain.replace(',', '')} or ${plain.replace(',', '.')}`;
    throw unreadable('These hours can be read in two ways', text, `Write ${both}.`);
  }
  return Number(plain.replace(',', '.'));
}

function unreadable(message: string, text: string, remedy: string): Fault {
  return new Fault({ code: 'hours-unreadable', message, found: JSON.stringify(text.slice(0, 40)), remedy });
}
