import { describe, expect, test } from 'vitest';
import { runningWords, startMs } from '../../tests/stage/feeds.js';
import { id, openWatch } from '../../tests/stage/watch-life.js';
import type { Feed } from '../domain/machine.js';

describe('the watch over a feed of words', () => {
  const alive: Feed = { ...runningWords, aliveTopic: 'yard/mower/alive' };

  test('keeps start and stop at once', () => {
    const life = openWatch(runningWords);
    life.say('stop');
    life.pass(60);
    life.say('run');
    life.pass(60);
    life.say('stop');
    expect(life.kept.runs(id)).toEqual([{ fromMs: startMs + 60_000, toMs: startMs + 120_000 }]);
    expect(life.total()).toBe(60);
  });

  test('ends a run at the last sign of life when the sensor’s last will comes', () => {
    const life = openWatch(alive);
    life.say('run');
    life.pass(120);
    life.say('run');
    life.pass(60);
    life.broker.say('yard/mower/alive', '0');
    life.pass(60);
    life.say('stop');
    life.watch.close();
    expect(life.total()).toBe(120);
    expect(life.kept.coverage(id)).toEqual([{ fromMs: startMs, toMs: startMs + 120_000 }]);
  });

  test('says at once that the sensor is away when its last will comes, and that it is back with its next sign of life', () => {
    const life = openWatch(alive);
    const isAway = () => life.kept.entries.at(-1)?.entry.isAway;
    life.say('stop');
    expect(isAway()).toBe(false);
    life.pass(30);
    life.broker.say('yard/mower/alive', '0', true);
    expect(isAway()).toBe(true);
    life.pass(30);
    life.say('stop', true);
    expect(isAway()).toBe(true);
    life.say('stop');
    expect(isAway()).toBe(false);
    life.broker.say('yard/mower/alive', 'offline');
    life.broker.say('yard/mower/alive', 'online', true);
    expect(isAway()).toBe(false);
    expect(life.total()).toBe(0);
  });

  test('a heartbeat on the alive topic carries a run on', () => {
    const life = openWatch(alive);
    life.say('run');
    for (let i = 0; i < 12; i += 1) {
      life.pass(600);
      life.broker.say('yard/mower/alive', '1');
    }
    life.pass(60);
    life.say('stop');
    expect(life.total()).toBe(7260);
  });

  test('a look ends a run whose sensor fell silent', () => {
    const life = openWatch(runningWords);
    life.say('run');
    life.pass(120);
    life.say('run');
    life.pass(901);
    life.watch.look();
    expect(life.kept.runs(id)).toEqual([{ fromMs: startMs, toMs: startMs + 120_000 }]);
    expect(life.kept.coverage(id)).toEqual([{ fromMs: startMs, toMs: startMs + 120_000 }]);
    expect(life.total()).toBe(120);
    const before = life.kept.entries.length;
    life.pass(3600);
    life.watch.look();
    expect(life.kept.entries).toHaveLength(before);
  });

  test('a run goes on over a short restart of the service', () => {
    const first = openWatch(runningWords);
    first.say('run');
    first.pass(60);
    first.say('run');
    const second = openWatch(runningWords, first.kept, { seconds: 120, boot: 'second' });
    second.say('run');
    second.pass(30);
    second.say('stop');
    expect(second.total()).toBe(150);
  });
});
