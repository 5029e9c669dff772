import { z } from 'zod';
import { type Day, parseDay, parseTimeOfDay, parseZone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { parseHoursText } from '../domain/hours-text.js';
import { convert, type Dimension, parseQuantity, unitNamed } from '../domain/quantity.js';

/** A text that a domain function reads; its Fault becomes the complaint at this place.
 *  @param otherKind  the complaint about what is no text at all, such as a number */
export function readWith<T>(read: (text: string) => T, otherKind?: string) {
  return z.string(otherKind === undefined ? undefined : { error: otherKind }).transform((text, context): T => {
    try {
      return read(text);
    } catch (fault) {
      if (!(fault instanceof Fault)) throw fault;
      const { code, message, found, remedy } = fault;
      context.issues.push({ code: 'custom', input: text, message, params: { code, found, remedy } });
      return z.NEVER;
    }
  });
}

/** A text with a shape; anything else gets the message and what would be right. */
export function shaped(shape: RegExp, message: string, remedy: string, longest = 200) {
  return readWith((text) => {
    if (text.length > longest || !shape.test(text)) {
      throw new Fault({ code: 'value-shape', message, found: shorten(text), remedy });
    }
    return text;
  });
}

/** Words of a person on one line: blanks and line ends run together, no control characters, no half of a sign (which no letter and no
 *  address can carry), never empty. */
export function words(longest = 500) {
  return readWith((text) => {
    const line = text.replace(/\s+/g, ' ').trim();
    const fault = (message: string, remedy: string) =>
      new Fault({ code: 'value-shape', message, found: shorten(text), remedy });
    if (line === '') throw fault('This text is empty', 'Write something, or leave the key out.');
    if (/\p{Cc}/u.test(line)) throw fault('This text holds control characters', 'Write it in plain letters.');
    if (/\p{Cs}/u.test(line)) throw fault('A sign of this text is cut in half', 'Type it anew.');
    if (line.length > longest) throw fault(`This text is longer than ${longest} letters`, 'Shorten it.');
    return line;
  });
}

/** An id: a word that file names, links and topics can hold. */
export function id() {
  return shaped(
    /^(?!constructor$)[a-z0-9]+(?:-[a-z0-9]+)*$/,
    'An id is made of lower-case letters, digits and single dashes',
    'Write it such as engine-oil.',
    60,
  );
}

/** The key of a map whose keys are ids. */
export function idKey() {
  return z.string().regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/);
}

/** A calendar day, `YYYY-MM-DD`, from 1970 to 2999; a fault names what was written. */
export function day() {
  return readWith(parseDay);
}

/** A time of day, `HH:MM` from 00:00 to 23:59. */
export function timeOfDay() {
  return readWith(parseTimeOfDay, 'This is not a time of day');
}

/** A time zone by its name in the IANA database. */
export function zone() {
  return readWith(parseZone);
}

/** A day of any year, `MM-DD`; 29 February is one. */
export function monthDay() {
  return readWith((text): `${number}-${number}` => {
    const parts = /^(\d{2})-(\d{2})$/.exec(text);
    try {
      parseDay(`2000-${text}` satisfies string as Day);
      if (parts !== null) return text as `${number}-${number}`;
    } catch {
      // The complaint below says it for a day of the year, without the year that was added here.
    }
    throw new Fault({
      code: 'day-unreadable',
      message: 'This is not a day of the year',
      found: shorten(text),
      remedy: 'Write month-day with two digits each, such as 10-20 for 20 October.',
    });
  });
}

const unitMissing = 'The unit is missing';
const hoursADay = 24;

/** A quantity kept as it was written, checked to be one of these dimensions, and within limits in their unit. */
export function quantityText(dimensions: readonly Dimension[], above?: number) {
  return readWith((text) => {
    readQuantity(text, dimensions, above);
    return text.trim();
  }, unitMissing);
}

/** A quantity as a number in `unit`. */
export function quantityIn(dimension: Dimension, unit: string, above?: number) {
  return readWith((text) => convert(readQuantity(text, [dimension], above), unit), unitMissing);
}

/** A span of time in minutes, in days too, such as `15 min` or `3 days`; more than 0. */
export function spanMinutes() {
  return readWith((text) => {
    const days = /^\s*(\S+?)\s*(?:d|days?)\s*$/i.exec(text)?.[1];
    return days === undefined
      ? convert(readQuantity(text, ['time'], 0), 'min')
      : convert(readQuantity(`${days} h`, ['time'], 0), 'min') * hoursADay;
  }, unitMissing);
}

/** Any quantity, checked later together with the others of its measurement. */
export function anyQuantity() {
  return readWith((text) => {
    parseQuantity(text);
    return text.trim();
  }, unitMissing);
}

/** Hours on a meter or of work: a number, or a text such as `384 h` or `384,5`. At least 0, at most a million. */
export function hours() {
  return z.union([z.number().min(0).max(1_000_000), readWith(hoursOf).pipe(z.number().min(0).max(1_000_000))]);
}

function hoursOf(text: string): number {
  // Digits alone are hours, with a decimal comma too; anything behind them is a unit of time.
  if (!/\d.*[A-Za-z]/.test(text)) return parseHoursText(text);
  return convert(readQuantity(text, ['time'], -1), 'h');
}

/** A unit that the unit table knows, kept as it was written. */
export function unitText() {
  return readWith((text) => {
    unitNamed(text);
    return text.trim();
  });
}

/** A mail address as the HTML standard's own rule has it (section 4.10.5.1.5), without empty dots; no line ends, so that
 *  no header can be smuggled into a message. */
export function mailAddress() {
  const label = '[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?';
  const atom = "[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+";
  return shaped(
    new RegExp(`^${atom}(?:\\.${atom})*@${label}(?:\\.${label})*$`),
    'This is not a mail address',
    'Write it such as ann@example.org, without a name or brackets.',
    254,
  );
}

/** A topic to listen to: no wildcards, no null or control characters, at most 65535 bytes.
 *  Source: MQTT 3.1.1 section 4.7. */
export function mqttTopic() {
  return readWith((text) => {
    const fault = (message: string) =>
      new Fault({
        code: 'topic-unusable',
        message,
        found: shorten(text),
        remedy: 'Name one topic in full, such as barn/tractor/run.',
      });
    if (text === '') throw fault('The topic is empty');
    if (/[+#]/.test(text)) throw fault('A feed listens to one topic, so + and # cannot stand in it');
    if (/\p{Cc}/u.test(text)) throw fault('A topic holds no control characters');
    if (text.startsWith('$share/')) throw fault('A shared subscription would lose messages');
    if (Buffer.byteLength(text) > 65_535) throw fault('A topic has at most 65535 bytes');
    return text;
  });
}

/** A pointer into a JSON document. Source: RFC 6901 section 3. */
export function jsonPointer() {
  return shaped(
    /^(?:\/(?:[^/~]|~[01])*)*$/,
    'This is not a pointer into JSON',
    'Begin each step with a slash, such as /engine/seconds.',
  );
}

function readQuantity(text: string, dimensions: readonly Dimension[], above = Number.NEGATIVE_INFINITY) {
  const only = dimensions.length === 1 ? dimensions[0] : undefined;
  const quantity = parseQuantity(text, only);
  if (!dimensions.includes(quantity.dimension)) {
    throw new Fault({
      code: 'unit-of-another-quantity',
      message: `${quantity.unit} measures ${quantity.dimension}, but here a ${dimensions.join(' or ')} is wanted`,
      found: shorten(text),
      remedy: 'Use another unit.',
    });
  }
  if (quantity.value <= above) {
    throw new Fault({
      code: 'value-out-of-range',
      message: `This is ${above === 0 ? 'not more than 0' : `not above ${above}`}`,
      found: shorten(text),
      remedy: 'Write a larger value.',
    });
  }
  return quantity;
}

function shorten(text: string): string {
  const shown = JSON.stringify(text);
  return shown.length > 62 ? `${shown.slice(0, 60)}…` : shown;
}
