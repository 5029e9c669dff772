import { expect, test } from 'vitest';
import { keepInMemory, machineWith, meterHours, moment, runSeconds } from '../../../tests/stage/feeds.js';
import { parseZone } from '../../domain/day.js';
import type { Feed } from '../../domain/machine.js';
import { followFeed } from '../follow.js';

const zone = parseZone('Europe/Lisbon');
const live = { retain: false, dup: false, qos: 1 as const };
const retained = { retain: true, dup: false, qos: 1 as const };
const week = 7 * 86_400;

function follow(feed: Feed, kept = keepInMemory()) {
  const follower = followFeed(machineWith(feed), feed, zone, kept);
  return {
    kept,
    take: (value: string, now = moment(0), delivered = live) => follower.take(Buffer.from(value), now, delivered),
    seconds: () => follower.state().totalMs / 1000,
  };
}

/** A small computer that started anew `seconds` ago, its clock still in 1970. */
const unset = (seconds: number) => ({
  atMs: seconds * 1000,
  monotonicMs: seconds * 1000,
  boot: 'second',
  believable: false,
});

test('an old retained value after a long silence is no restart of the counter', () => {
  const feed = follow(runSeconds);
  feed.take('5000');
  feed.take('5010', moment(10));
  feed.take('100', moment(week), retained);
  expect(feed.seconds()).toBe(10);
  feed.take('5020', moment(week + 10));
  expect(feed.seconds()).toBe(20);
});

test('a counter that did restart while nobody listened counts with its first live value', () => {
  const feed = follow(runSeconds);
  feed.take('5000');
  feed.take('100', moment(week), retained);
  feed.take('110', moment(week + 10));
  feed.take('120', moment(week + 20));
  expect(feed.seconds()).toBe(120);
});

test.each([
  ['run-seconds', runSeconds, '100', '9007199254', '3700', 3600],
  ['meter-hours', meterHours, '100', '210000000', '101', 3600],
] as const)(
  'a mad value of %s is refused although no clock tells how long it has been',
  (_kind, configured, first, mad, next, counts) => {
    const before = follow(configured);
    before.take(first);
    const after = follow(configured, before.kept);
    expect(after.take(mad, unset(20))).toMatchObject({ code: 'faster-than-time' });
    expect(after.seconds()).toBe(0);
    expect(after.take(next, unset(30))).toBeNull();
    expect(after.seconds()).toBe(counts);
  },
);

test('a counter of milliseconds that is read as seconds is refused with what to set, and a mad value without', () => {
  const feed = follow(runSeconds);
  feed.take('5000');
  expect(feed.take('15000', moment(10))?.reason).toContain('looks like milliseconds: then set scale: 0.001');
  expect(feed.take('90000000', moment(10))?.reason).not.toContain('milliseconds');
  expect(feed.seconds()).toBe(0);
});

test('what is more than a month while no clock tells counts once the clock is set', () => {
  const before = follow(runSeconds);
  before.take('0');
  const after = follow(runSeconds, before.kept);
  const value = String(40 * 86_400);
  expect(after.take(value, unset(20))).toMatchObject({ code: 'faster-than-time' });
  expect(after.take(value, { ...moment(45 * 86_400, 'second'), monotonicMs: 30_000 })).toBeNull();
  expect(after.seconds()).toBe(40 * 86_400);
});
