import type { Broker } from '../broker/connection.js';
import { type Day, dayOf, hourMs, type Zone } from '../domain/day.js';
import type { Household, TemperatureFeed } from '../domain/household.js';
import type { Night } from '../domain/night.js';
import type { Clock, Log } from '../domain/outside.js';
import { readNumber } from './decode/number.js';
import { readPayload } from './decode/payload.js';
import type { Refused } from './errors.js';

/** A colder or hotter value is a broken sensor, degrees Celsius. Common practice, no source: the usual ones say -127 when unplugged and
 *  85 when they start. */
const believable = { least: -60, most: 60, what: 'temperature outdoors in degrees Celsius' } as const;
/** A new low waits so long, so that a memory card lives for years: at most one row is written an hour. */
const handOutMs = hourMs;

/** The lowest temperature of each day, from a thermometer outdoors on MQTT. */
export interface TemperatureWatch {
  /** Hands out what waits once its hour or its day is over; to be called about once a minute. */
  look(): void;
  reload(household: Household): void;
  /** Hands out all that waits. */
  close(): void;
}

/** Subscribes where household.yaml names a topic. A low counts once two messages in a row were as low, so that one wrong value makes no
 *  frost; what the broker kept from earlier is passed over, because nobody knows of which day it is.
 *  @param outside.hand         keeps one day's low; called at most once an hour
 *  @param outside.notBeforeMs  while the clock is earlier, nobody knows the day: nothing counts
 *  @throws Fault topic-unfit */
export function watchTemperature(outside: {
  readonly broker: Pick<Broker, 'subscribe'>;
  readonly household: Household;
  readonly clock: Clock;
  readonly notBeforeMs: number;
  readonly log: Log;
  readonly hand: (night: Night) => void;
}): TemperatureWatch {
  const { broker, clock, notBeforeMs, log, hand } = outside;
  let source = '';
  let stop: (() => void) | null = null;
  let before: { readonly day: Day; readonly celsius: number } | null = null;
  let low: Night | null = null;
  let handed: { readonly night: Night; readonly atMs: number } | null = null;
  let isRefused = false;

  function take(feed: TemperatureFeed, zone: Zone, payload: Uint8Array): void {
    const atMs = clock.nowMs();
    if (atMs < notBeforeMs) return;
    const celsius = readCelsius(feed, payload, zone);
    if (typeof celsius !== 'number') {
      // Once until it is right again: a broken thermometer speaks all night.
      if (!isRefused)
        log.warn({ topic: feed.topic, code: celsius.code, reason: celsius.reason }, 'a temperature was not taken');
      isRefused = true;
      return;
    }
    isRefused = false;
    const day = dayOf(atMs, zone);
    const sure = before === null || before.day !== day ? null : Math.max(before.celsius, celsius);
    before = { day, celsius };
    if (low !== null && low.day !== day) handOut(atMs);
    if (sure !== null && (low === null || low.day !== day || sure < low.celsius)) low = { day, celsius: sure };
    look();
  }

  function handOut(atMs: number): void {
    if (low === null || (handed?.night.day === low.day && handed.night.celsius === low.celsius)) return;
    hand(low);
    handed = { night: low, atMs };
  }

  function look(): void {
    const atMs = clock.nowMs();
    if (handed === null || atMs - handed.atMs >= handOutMs || atMs < handed.atMs) handOut(atMs);
  }

  function reload({ temperature, zone }: Household): void {
    const now = JSON.stringify([temperature ?? null, zone]);
    if (now === source) return;
    source = now;
    handOut(clock.nowMs());
    const ended = stop;
    before = low = null;
    stop =
      temperature === undefined
        ? null
        : broker.subscribe(temperature.topic, (_topic, payload, delivered) => {
            if (!delivered.retain) take(temperature, zone, payload);
          });
    ended?.();
  }

  reload(outside.household);
  return { look, reload, close: () => handOut(clock.nowMs()) };
}

function readCelsius(feed: TemperatureFeed, payload: Uint8Array, zone: Zone): number | Refused {
  const read = readPayload(payload, feed, zone);
  if (read.kind === 'refused') return read;
  // Source: NIST SP 811 (2008), App. B.8: t/°C = (t/°F - 32) / 1.8.
  const scaling = feed.unit === 'F' ? { scale: 1 / 1.8, offset: -32 / 1.8 } : { scale: 1, offset: 0 };
  const celsius = readNumber(read.value, scaling, believable);
  return typeof celsius === 'number' ? Math.round(celsius * 10) / 10 : celsius;
}
