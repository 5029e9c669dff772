import { parseInstant, type Zone } from '../../domain/day.js';
import type { Feed } from '../../domain/machine.js';
import { joinAnd, sayDecimal } from '../../words/counts.js';
import { type Refused, refusalCodes, refuse } from '../errors.js';
import { placesIn } from './places.js';
import { valueAt } from './pointer.js';

/** 64 kB: a hundred times what a sensor needs; more is somebody else's topic. Common practice, no source. */
const mostBytes = 65_536;
/** Levels of JSON inside each other. Common practice, no source. */
const mostLevels = 32;

/** The plain value in a payload, before its kind looks at it. */
export interface PayloadValue {
  readonly kind: 'value';
  readonly value: string | number | boolean;
  /** The device's own time, UTC milliseconds; null where none is configured. */
  readonly deviceAtMs: number | null;
}

/** Reads a payload as configured: UTF-8 text as it stands, or JSON where a pointer or a time pointer is set.
 *  @param zone  for a device time without an offset
 *  @returns     the value, or why there is none; nothing is thrown
 *  Source: UTF-8 RFC 3629, JSON RFC 8259, pointers RFC 6901. */
export function readPayload(
  payload: Uint8Array,
  feed: Pick<Feed, 'pointer' | 'timePointer'>,
  zone: Zone,
): PayloadValue | Refused {
  if (payload.byteLength > mostBytes) {
    return refuse(
      refusalCodes.tooLarge,
      `the payload has ${sayDecimal(payload.byteLength, 0)} bytes, more than ${sayDecimal(mostBytes, 0)}`,
    );
  }
  const text = textOf(payload);
  if (text === null) return refuse(refusalCodes.unreadable, 'the payload is not text (invalid UTF-8)');
  if (text === '') return refuse(refusalCodes.unreadable, 'the payload is empty');
  if (feed.pointer === undefined && feed.timePointer === undefined) {
    return { kind: 'value', value: text, deviceAtMs: null };
  }
  const document = parseJson(text);
  if (document.kind === 'refused') return document;
  const value = plainAt(document.value, feed.pointer ?? '');
  if (typeof value === 'object') return value;
  if (feed.timePointer === undefined) return { kind: 'value', value, deviceAtMs: null };
  const time = plainAt(document.value, feed.timePointer);
  if (typeof time === 'object') return refuse(refusalCodes.timeUnreadable, `the device time: ${time.reason}`);
  const deviceAtMs = readTime(time, zone);
  if (deviceAtMs === null) {
    return refuse(
      refusalCodes.timeUnreadable,
      `the device time ${shown(time)} ${timeSlip(time) ?? 'is neither ISO 8601 nor Unix seconds'}`,
    );
  }
  return { kind: 'value', value, deviceAtMs };
}

/** What to add to a refusal of a payload that was read as it stands, although it is JSON with values inside: the commonest slip of
 *  setting a sensor up.
 *  @param text  the payload as text
 *  @returns     a part of a sentence, empty where there is nothing to say */
export function pointerHint(text: string): string {
  if (!text.startsWith('{')) return '';
  const document = parseJson(text);
  if (document.kind === 'refused') return '';
  const [place] = placesIn(document.value);
  return place === undefined ? '' : `; it is JSON, so say where its value stands, such as pointer: ${place}`;
}

/** A value short enough for a log line or a page, control characters made visible. */
export function shown(value: unknown): string {
  const text = JSON.stringify(value) ?? String(value);
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}

function textOf(payload: Uint8Array): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(payload).trim();
  } catch {
    return null;
  }
}

function parseJson(text: string): { readonly kind: 'json'; readonly value: unknown } | Refused {
  if (levelsIn(text) > mostLevels) {
    return refuse(refusalCodes.unreadable, `the JSON is nested deeper than ${mostLevels} levels`);
  }
  try {
    return { kind: 'json', value: JSON.parse(text) };
  } catch {
    return refuse(refusalCodes.unreadable, `${shown(text)} is not JSON, but a pointer is configured`);
  }
}

/** Deepest nesting of brackets outside of strings; malformed text gives some number, JSON.parse judges it after. */
function levelsIn(text: string): number {
  let level = 0;
  let deepest = 0;
  let isInString = false;
  for (let i = 0; i < text.length; i += 1) {
    const character = text[i];
    if (isInString) {
      if (character === '\\') i += 1;
      else if (character === '"') isInString = false;
    } else if (character === '"') isInString = true;
    else if (character === '{' || character === '[') deepest = Math.max(deepest, ++level);
    else if (character === '}' || character === ']') level -= 1;
  }
  return deepest;
}

function plainAt(document: unknown, pointer: string): string | number | boolean | Refused {
  const value = valueAt(document, pointer);
  const where = pointer === '' ? 'the payload' : `the value at ${pointer}`;
  if (value === undefined)
    return refuse(refusalCodes.nothingThere, `nothing stands at ${pointer}${whatIsThere(document)}`);
  if (value === null) return refuse(refusalCodes.unreadable, `${where} is null`);
  if (typeof value === 'string') return value.trim();
  if (typeof value === 'number' || typeof value === 'boolean') return value;
  return refuse(
    refusalCodes.unreadable,
    `${where} is ${Array.isArray(value) ? 'a list' : 'an object'}, not a single value`,
  );
}

function whatIsThere(document: unknown): string {
  if (document !== null && typeof document !== 'object') {
    return ', because the payload is a single value, which is read without a pointer';
  }
  const places = placesIn(document);
  return places.length === 0 ? '' : `; there is ${joinAnd(places)}`;
}

/** Unix time in a smaller unit than seconds: the commonest slip of a device's own time.
 *  @returns  a part of a sentence, null where it is none */
function timeSlip(time: string | number | boolean): string | null {
  const value =
    typeof time === 'number' ? time : typeof time === 'string' && /^\d{13,19}$/.test(time) ? Number(time) : 0;
  for (const [name, parts] of smallerUnits) {
    const seconds = Math.floor(value / parts);
    if (seconds >= likelyFromSeconds && seconds < likelyToSeconds) {
      return `looks like ${name}: let the sensor send Unix seconds, here ${seconds}`;
    }
  }
  return null;
}

const smallerUnits = [
  ['milliseconds', 1e3],
  ['microseconds', 1e6],
  ['nanoseconds', 1e9],
] as const;
/** The years 2001 to 2128: no two of the units reach into the same numbers. */
const likelyFromSeconds = 1e9;
const likelyToSeconds = 5e9;

function readTime(value: string | number | boolean, zone: Zone): number | null {
  if (typeof value === 'boolean') return null;
  const seconds = typeof value === 'number' ? value : /^\d{1,12}(\.\d{1,9})?$/.test(value) ? Number(value) : null;
  if (seconds !== null) {
    return Number.isFinite(seconds) && seconds >= 0 && seconds < 32_503_680_000 ? Math.round(seconds * 1000) : null;
  }
  try {
    return parseInstant(String(value), zone);
  } catch {
    return null;
  }
}
