import { expect, test } from 'vitest';
import { noLog } from '../../tests/stage/no-log.js';
import { someHousehold } from '../../tests/stage/small-machine.js';
import type { MessageHandler } from '../broker/connection.js';
import { hourMs, parseInstant, parseZone } from '../domain/day.js';
import type { TemperatureFeed } from '../domain/household.js';
import type { Night } from '../domain/night.js';
import { watchTemperature } from './watch-temperature.js';

const zone = parseZone('Europe/Lisbon');
const plain: TemperatureFeed = { topic: 'garden/air', unit: 'C' };

/** A thermometer and a clock by hand. */
function followed(temperature: TemperatureFeed | undefined = plain, notBeforeMs = 0) {
  let nowMs = parseInstant('2031-11-20T22:00', zone);
  const handlers = new Map<string, MessageHandler>();
  const handed: Night[] = [];
  const household = { ...someHousehold(), zone };
  const watch = watchTemperature({
    broker: {
      subscribe(topic, handler) {
        handlers.set(topic, handler);
        return () => handlers.delete(topic);
      },
    },
    household: temperature === undefined ? household : { ...household, temperature },
    clock: { nowMs: () => nowMs },
    notBeforeMs,
    log: noLog,
    hand: (night) => handed.push(night),
  });
  const say = (payload: string, more: { at?: string; retain?: boolean } = {}) => {
    if (more.at !== undefined) nowMs = parseInstant(more.at, zone);
    const delivered = { retain: more.retain ?? false, dup: false, qos: 1 as const };
    for (const [topic, handler] of handlers) handler(topic, Buffer.from(payload), delivered);
  };
  return { watch, handed, handlers, household, say, later: (ms: number) => (nowMs += ms) };
}

test('the low of each day is handed out, at most once an hour, and the day’s own when the day is over', () => {
  const { watch, handed, say, later } = followed();
  for (const one of ['4', '3', '2.5', '2.5', '1', '1']) say(one);
  expect(handed).toEqual([{ day: '2031-11-20', celsius: 4 }]);
  later(hourMs);
  watch.look();
  expect(handed.at(-1)).toEqual({ day: '2031-11-20', celsius: 1 });
  say('0.5');
  say('0.5');
  say('-2', { at: '2031-11-21T06:00' });
  say('-2');
  expect(handed).toContainEqual({ day: '2031-11-20', celsius: 0.5 });
  watch.close();
  expect(handed.at(-1)).toEqual({ day: '2031-11-21', celsius: -2 });
});

test('one wrong value makes no frost, and a broken thermometer says nothing', () => {
  const { watch, handed, say } = followed();
  for (const one of ['5', '-30', '5', '-127', '85', 'warm', '', '5']) say(one);
  watch.close();
  expect(handed).toEqual([{ day: '2031-11-20', celsius: 5 }]);
});

test('what the broker kept, and what comes before the clock is set, belongs to no day', () => {
  const kept = followed();
  kept.say('-5', { retain: true });
  kept.say('-5', { retain: true });
  kept.watch.close();
  const unset = followed(plain, parseInstant('2032-01-01', zone));
  unset.say('-5');
  unset.say('-5');
  unset.watch.close();
  expect([...kept.handed, ...unset.handed]).toEqual([]);
});

test('a number inside JSON, in degrees Fahrenheit', () => {
  const { watch, handed, say } = followed({ topic: 'a', pointer: '/air/f', unit: 'F' });
  for (let i = 0; i < 2; i++) say('{"air":{"f":14}}');
  watch.close();
  expect(handed).toEqual([{ day: '2031-11-20', celsius: -10 }]);
});

test('a changed topic is followed, and without one nothing is subscribed', () => {
  const { watch, handlers, household } = followed();
  watch.reload({ ...household, temperature: { topic: 'roof/air', unit: 'C' } });
  expect([...handlers.keys()]).toEqual(['roof/air']);
  watch.reload(household);
  expect(handlers.size).toBe(0);
});
