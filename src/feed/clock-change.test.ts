import { describe, expect, test } from 'vitest';
import { keepInMemory, lengthSeconds, machineWith, runningWords, runSeconds } from '../../tests/stage/feeds.js';
import { formatInstant, parseZone, timeOfDayAt } from '../domain/day.js';
import type { Feed } from '../domain/machine.js';
import { followFeed } from './follow.js';

const zone = parseZone('Europe/Lisbon');
const machine = machineWith(runSeconds);
/** Clocks of Lisbon go from 01:00 to 02:00 on 30 March 2031, and from 02:00 back to 01:00 on 26 October 2031, both at 01:00 UTC. */
const nights = [
  ['spring', Date.parse('2031-03-30T01:00:00Z')],
  ['autumn', Date.parse('2031-10-26T01:00:00Z')],
] as const;
/** The engine runs from three hours before the change to three hours after. */
const minutes = 360;

function liveThrough(feed: Feed, changeMs: number, payload: (atMs: number, minute: number) => string) {
  const kept = keepInMemory();
  const follower = followFeed(machine, feed, zone, kept);
  const at = (minute: number) => ({
    atMs: changeMs + (minute - minutes / 2) * 60_000,
    monotonicMs: minute * 60_000,
    boot: 'first',
    believable: true,
  });
  for (let minute = 0; minute <= minutes; minute += 1) {
    const moment = at(minute);
    const refused = follower.take(Buffer.from(payload(moment.atMs, minute)), moment, {
      retain: false,
      dup: false,
      qos: 1,
    });
    expect(refused).toBeNull();
  }
  follower.close(at(minutes));
  return {
    total: kept.totalSeconds(machine.id),
    placed: lengthSeconds(kept.runs(machine.id)),
    covered: lengthSeconds(kept.coverage(machine.id)),
  };
}

const inStep = { total: minutes * 60, placed: minutes * 60, covered: minutes * 60 };
const timed: Feed = { ...runningWords, pointer: '/run', timePointer: '/at' };
const say = (at: string) => JSON.stringify({ run: true, at });

describe.each(nights)('the night in %s on which the clocks are changed', (season, changeMs) => {
  test('adds and takes nothing for a counter, nor for words', () => {
    expect(liveThrough(runSeconds, changeMs, (_, minute) => String(minute * 60))).toEqual(inStep);
    expect(liveThrough(runningWords, changeMs, () => 'run')).toEqual(inStep);
  });

  test('adds and takes nothing for a device that sends its own time with an offset, or as Unix seconds', () => {
    expect(liveThrough(timed, changeMs, (atMs) => say(formatInstant(atMs)))).toEqual(inStep);
    expect(liveThrough(timed, changeMs, (atMs) => say(String(atMs / 1000)))).toEqual(inStep);
  });

  test('adds nothing for a device whose own time has no offset; at most the hour that its clock shows twice is missed', () => {
    const local = (atMs: number) => {
      const day = season === 'spring' ? '2031-03-30' : '2031-10-26';
      const time = timeOfDayAt(atMs, zone);
      return say(`${time > '20:00' ? day.replace(/\d\d$/, (d) => String(Number(d) - 1)) : day}T${time}`);
    };
    const { total, placed } = liveThrough(timed, changeMs, local);
    expect(total).toBeLessThanOrEqual(minutes * 60);
    expect(total).toBeGreaterThanOrEqual((minutes - (season === 'spring' ? 0 : 61)) * 60);
    expect(placed).toBeLessThanOrEqual(total);
  });
});
