import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  homeWith,
  keepInMemory,
  lengthSeconds,
  machineWith,
  meterHours,
  runningWords,
  runSeconds,
  startMs,
  voltage,
} from '../../tests/stage/feeds.js';
import { id, openWatch, topic } from '../../tests/stage/watch-life.js';

describe('the watch over a run-seconds feed', () => {
  test('keeps what changes the total at once, and coverage every five minutes', () => {
    const life = openWatch(runSeconds);
    life.say('100');
    expect(life.kept.entries).toHaveLength(1);
    for (let i = 0; i < 29; i += 1) {
      life.pass(10);
      life.say('100');
    }
    expect(life.kept.entries).toHaveLength(1);
    life.pass(10);
    life.say('100');
    expect(life.kept.entries).toHaveLength(2);
    expect(life.kept.coverage(id)).toEqual([{ fromMs: startMs, toMs: startMs + 300_000 }]);
    life.pass(10);
    life.say('110');
    expect(life.kept.entries).toHaveLength(3);
    expect(life.total()).toBe(10);
  });

  test('two hours that are reported every ten seconds are one run of two hours', () => {
    const life = openWatch(runSeconds);
    life.say('0');
    for (let i = 1; i <= 720; i += 1) {
      life.pass(10);
      life.say(String(10 * i));
    }
    life.watch.close();
    expect(life.total()).toBe(7200);
    expect(life.kept.runs(id)).toEqual([{ fromMs: startMs, toMs: startMs + 7_200_000 }]);
    expect(life.kept.coverage(id)).toEqual([{ fromMs: startMs, toMs: startMs + 7_200_000 }]);
    const handedOut = life.kept.entries.filter(({ entry }) => entry.coverage.length > 0);
    expect(handedOut.length).toBeLessThanOrEqual(7200 / 300 + 2);
  });

  test('a store that fails leaves everything as it was, and the same message counts when it comes again', () => {
    const life = openWatch(runSeconds);
    life.say('100');
    life.pass(10);
    life.kept.failNext(2);
    expect(() => life.say('110')).toThrow('the disk is full');
    expect(() => life.say('110')).toThrow('the disk is full');
    life.say('110');
    life.say('110');
    expect(life.total()).toBe(10);
  });

  test('wherever the service is killed, every second is counted exactly once', () => {
    const kill = fc.record({
      after: fc.integer({ min: 1, max: 12 }),
      isKept: fc.boolean(),
      outage: fc.integer({ min: 0, max: 900 }),
    });
    fc.assert(
      fc.property(fc.array(kill, { minLength: 1, maxLength: 8 }), (kills) => {
        const kept = keepInMemory();
        let now = 0;
        let counter = 500;
        let life = openWatch(runSeconds, kept, { seconds: 0, boot: 'life 0' });
        life.say(String(counter));
        for (const [i, { after, isKept, outage }] of kills.entries()) {
          for (let n = 0; n < after; n += 1) {
            now += 10;
            counter += 10;
            life.pass(10);
            life.say(String(counter));
          }
          // The message on which it dies is kept or not, and is not acknowledged: it comes again after the restart.
          now += 10;
          counter += 10;
          life.pass(10);
          if (isKept) life.say(String(counter));
          now += outage;
          life = openWatch(runSeconds, kept, { seconds: now, boot: `life ${i + 1}` });
          life.say(String(counter));
        }
        life.watch.close();
        expect(kept.totalSeconds(id)).toBe(counter - 500);
        expect(lengthSeconds(kept.runs(id))).toBe(counter - 500);
      }),
    );
  });

  test('a retained value is the baseline, but no sign that the sensor lives', () => {
    const life = openWatch(runSeconds);
    life.say('100', true);
    life.pass(60);
    life.say('100', true);
    life.watch.close();
    expect(life.kept.coverage(id)).toEqual([]);
    expect(life.total()).toBe(0);
  });

  test('coverage ends with the last sign of life before a silence', () => {
    const life = openWatch(runSeconds);
    for (const wait of [0, 600, 600, 1000, 600]) {
      life.pass(wait);
      life.say('100');
    }
    life.watch.close();
    expect(life.kept.coverage(id)).toEqual([
      { fromMs: startMs, toMs: startMs + 1_200_000 },
      { fromMs: startMs + 2_200_000, toMs: startMs + 2_800_000 },
    ]);
  });
});

describe('a wrong clock', () => {
  test('counts at once, and places the run when the clock is set', () => {
    const life = openWatch(runSeconds);
    life.setWall(Date.UTC(2019, 0, 1));
    life.say('1000');
    life.pass(600);
    life.say('1600');
    expect(life.total()).toBe(600);
    expect(life.kept.runs(id)).toEqual([]);
    expect(life.watch.isClockBelievable()).toBe(false);
    life.setWall(startMs + 600_000);
    life.watch.look();
    life.watch.close();
    expect(life.kept.runs(id)).toEqual([{ fromMs: startMs, toMs: startMs + 600_000 }]);
    expect(life.kept.coverage(id)).toEqual([]);
    expect(life.log.lines.filter((line) => line.event.includes('clock')).map((line) => line.level)).toEqual([
      'warn',
      'info',
    ]);
  });

  test('that jumps forward in the middle of a run adds nothing', () => {
    const life = openWatch(runningWords);
    life.say('run');
    life.pass(300);
    life.say('run');
    life.setWall(startMs + 86_400_000);
    life.pass(10);
    life.say('stop');
    life.watch.close();
    expect(life.total()).toBe(310);
    expect(lengthSeconds(life.kept.coverage(id))).toBeLessThanOrEqual(310);
  });

  test('that goes back an hour takes nothing away, and coverage waits', () => {
    const life = openWatch(runSeconds);
    life.say('0');
    life.pass(600);
    life.say('600');
    life.setWall(startMs - 3_600_000);
    life.pass(60);
    life.say('660');
    expect(life.total()).toBe(660);
    life.watch.close();
    expect(life.kept.coverage(id)).toEqual([{ fromMs: startMs, toMs: startMs + 600_000 }]);
  });
});

describe('the watch over meter hours', () => {
  test('hands out a reading at first, while it rises at most every half hour, and the last when it falls silent', () => {
    const life = openWatch(meterHours);
    life.say('386.2');
    for (let i = 1; i <= 24; i += 1) {
      life.pass(180);
      life.say((386.2 + 0.05 * i).toFixed(2));
    }
    life.pass(1000);
    life.watch.look();
    expect(life.kept.readings(id).map(({ hours }) => hours)).toEqual([386.2, 386.7, 387.2, 387.4]);
    expect(life.kept.readings(id).at(-1)?.atMs).toBe(startMs + 24 * 180_000);
    expect(life.kept.coverage(id)).toEqual([]);
    expect(life.total()).toBeCloseTo(1.2 * 3600, 6);
  });

  test('refuses a meter that goes back, and more hours than have passed', () => {
    const life = openWatch(meterHours);
    life.say('386.2');
    life.pass(3600);
    life.say('385.9');
    life.say('3872');
    life.say('387.2');
    expect(life.kept.readings(id).map(({ hours }) => hours)).toEqual([386.2, 387.2]);
    expect(life.watch.recentRefusals(id).map(({ code }) => code)).toEqual(['faster-than-time', 'meter-below-last']);
  });
});

describe('refused messages', () => {
  test('are counted and shown, logged once in a while, and change nothing', () => {
    const life = openWatch(voltage);
    for (let i = 0; i < 100; i += 1) {
      life.pass(1);
      life.say(`bad ${i} \u0007`);
    }
    expect(life.watch.refusedCount(id)).toBe(100);
    expect(life.watch.recentRefusals()).toHaveLength(20);
    expect(life.watch.recentRefusals()[0]).toMatchObject({ machine: id, topic, sample: 'bad 99 ·' });
    expect(life.log.lines).toHaveLength(1);
    life.pass(600);
    life.say(Buffer.from([0xff, 0xfe]));
    expect(life.log.lines.at(-1)?.fields).toMatchObject({ unlogged: 99 });
    expect(life.kept.entries).toHaveLength(0);
  });
});

test('the last few refusals outlive a stop and a crash, and nonsense is written every five minutes at most', () => {
  const kept = keepInMemory();
  let writes = 0;
  const counted = {
    ...kept,
    keepRefusals(machine: string, text: string) {
      writes += 1;
      kept.keepRefusals(machine, text);
    },
  };
  const first = openWatch(runSeconds, counted);
  for (let i = 0; i < 600; i += 1) {
    first.say(`nonsense ${i}`);
    first.pass(1);
    if (i % 60 === 0) first.watch.look();
  }
  expect(writes).toBe(2);
  const crashed = openWatch(runSeconds, counted, { seconds: 700, boot: 'second' });
  expect(crashed.watch.recentRefusals(id)).toHaveLength(3);
  crashed.say('worse');
  crashed.watch.close();
  const third = openWatch(runSeconds, counted, { seconds: 800, boot: 'third' });
  expect(third.watch.recentRefusals(id).map(({ sample }) => sample)[0]).toBe('worse');
  expect(third.watch.recentRefusals(id)).toHaveLength(3);
  third.watch.close();
  expect(writes).toBe(3);
});

describe('a changed configuration', () => {
  test('leaves feeds alone that stayed as they were, and follows those that are new', () => {
    const life = openWatch(runSeconds);
    life.say('100');
    const pump = machineWith({ ...runSeconds, topic: 'pump/run' }, 'pump');
    const mower = machineWith(runSeconds);
    life.watch.reload(homeWith([mower, pump]));
    life.pass(10);
    life.say('110');
    expect(life.total()).toBe(10);
    expect(life.broker.listens('pump/run')).toBe(true);
    life.watch.reload(homeWith([{ ...mower, gone: true }, pump]));
    expect(life.broker.listens(topic)).toBe(false);
  });

  test('another scale starts from a new baseline under the same total', () => {
    const life = openWatch(runSeconds);
    life.say('100');
    life.pass(60);
    life.say('160');
    life.watch.reload(homeWith([machineWith({ ...runSeconds, scale: 60 })]));
    life.pass(60);
    life.say('161');
    life.pass(60);
    life.say('162');
    expect(life.total()).toBe(60 + 60);
  });
});

test('whatever comes in whatever order, the total never falls and never passes the clock', () => {
  const event = fc.record({
    wait: fc.integer({ min: 0, max: 2000 }),
    payload: fc.oneof(fc.constantFrom('run', 'stop', '0', '1', 'x', ''), fc.integer({ min: 0, max: 5000 }).map(String)),
    isRetained: fc.boolean(),
    isLook: fc.boolean(),
  });
  fc.assert(
    fc.property(
      fc.constantFrom(runSeconds, runningWords, voltage),
      fc.array(event, { minLength: 1, maxLength: 60 }),
      (feed, events) => {
        const life = openWatch(feed);
        let passed = 0;
        let before = 0;
        for (const { wait, payload, isRetained, isLook } of events) {
          life.pass(wait);
          passed += wait;
          if (isLook) life.watch.look();
          else life.say(payload, isRetained);
          expect(life.total()).toBeGreaterThanOrEqual(before);
          expect(life.total()).toBeLessThanOrEqual(passed + 5 + 60 * events.length);
          before = life.total();
        }
        life.watch.close();
        if (feed.kind !== 'run-seconds') expect(life.total()).toBeLessThanOrEqual(passed);
        for (const span of [...life.kept.runs(id), ...life.kept.coverage(id)])
          expect(span.toMs).toBeGreaterThan(span.fromMs);
      },
    ),
  );
});
