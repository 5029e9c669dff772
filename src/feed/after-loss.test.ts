import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { lengthSeconds, runningWords, runSeconds, voltage } from '../../tests/stage/feeds.js';
import { id, openWatch } from '../../tests/stage/watch-life.js';

const heard = { ...runningWords, aliveTopic: 'yard/mower/alive' };
const dated = { ...runningWords, pointer: '/on', timePointer: '/at' };

/** A watch with what each test does to it: time passes, the connection is lost and comes back, the sensor says something. */
function live(feed: Parameters<typeof openWatch>[0]) {
  const life = openWatch(feed);
  return {
    ...life,
    after(seconds: number, payload: string, qos: 0 | 1 = 1) {
      life.pass(seconds);
      life.say(payload, false, qos);
    },
    backAfter(seconds: number, isSessionKept = true) {
      life.pass(seconds);
      life.broker.comeBack(isSessionKept);
    },
    covered: () => {
      life.watch.close();
      return lengthSeconds(life.kept.coverage(id));
    },
  };
}

describe('a connection that was lost while the engine ran', () => {
  test('a stop that waited at the broker ends the run at the last sign of life before the loss', () => {
    const life = live(runningWords);
    life.after(0, 'run');
    life.after(60, 'run');
    life.backAfter(780);
    life.after(0, 'stop');
    expect(life.total()).toBe(60);
    // The ten minutes and more in between are estimated from usage: nobody heard them.
    expect(life.covered()).toBe(60);
  });

  test('a run that plainly goes on counts through the loss, since no stop waited', () => {
    const life = live(runningWords);
    life.after(0, 'run');
    life.after(60, 'run');
    life.backAfter(300);
    for (let i = 0; i < 10; i += 1) life.after(0, 'run');
    expect(life.total()).toBe(60);
    life.after(60, 'run');
    expect(life.total()).toBe(420);
    life.after(30, 'stop');
    expect(life.total()).toBe(450);
    expect(life.covered()).toBe(450);
  });

  test('a stop and a start that waited together: the new run counts from its coming', () => {
    const life = live(runningWords);
    life.after(0, 'run');
    life.after(60, 'run');
    life.backAfter(600);
    life.after(1, 'run');
    life.after(1, 'stop');
    life.after(1, 'run');
    expect(life.total()).toBe(60);
    life.after(30, 'run');
    expect(life.total()).toBe(90);
    expect(life.covered()).toBe(60);
  });

  test('a whole run that waited counts nothing, however slowly it drains, and its time is not covered', () => {
    const life = live(runningWords);
    life.after(0, 'stop');
    life.after(60, 'stop');
    life.backAfter(600);
    life.after(2, 'run');
    life.after(4, 'run');
    life.after(4, 'stop');
    expect(life.total()).toBe(0);
    life.after(60, 'stop');
    life.after(60, 'stop');
    expect(life.covered()).toBe(120);
  });

  test('a sensor that comes back later than we do says first what it kept', () => {
    const life = live(runningWords);
    life.after(0, 'run');
    life.after(60, 'run');
    life.backAfter(200);
    life.after(90, 'stop');
    expect(life.total()).toBe(60);
  });

  test('a stop long after the connection came back is a live one', () => {
    const life = live(runningWords);
    life.after(0, 'run');
    life.backAfter(60);
    life.after(600, 'stop');
    expect(life.total()).toBe(660);
  });

  test('where the broker kept nothing for us, the run ended with its last sign of life', () => {
    const life = live(runningWords);
    life.after(0, 'run');
    life.after(60, 'run');
    life.backAfter(300, false);
    expect(life.total()).toBe(60);
    life.after(200, 'run');
    life.after(60, 'run');
    expect(life.total()).toBe(120);
    expect(life.covered()).toBe(120);
  });

  test('what is sent with QoS 0 is not kept for us either', () => {
    const life = live(runningWords);
    life.after(0, 'run', 0);
    life.after(60, 'run', 0);
    life.backAfter(300);
    life.after(200, 'run', 0);
    life.after(60, 'stop', 0);
    expect(life.total()).toBe(120);
  });

  test('where the device gives its own times, nothing is lost, and also where the session was not kept', () => {
    const say = (on: string, second: number) =>
      JSON.stringify({ on, at: (Date.UTC(2031, 5, 14, 12) / 1000 + second) | 0 });
    const kept = live(dated);
    kept.after(0, say('run', 0));
    kept.after(60, say('run', 60));
    kept.backAfter(780);
    kept.after(0, say('run', 120));
    kept.after(0, say('stop', 150));
    expect(kept.total()).toBe(150);

    const lost = live(dated);
    lost.after(0, say('run', 0));
    lost.after(60, say('run', 60));
    lost.backAfter(300, false);
    lost.after(0, say('run', 360));
    lost.after(10, say('stop', 370));
    expect(lost.total()).toBe(370);
  });

  test('an alive word that waited does not lengthen a run whose stop waits behind it', () => {
    const life = live(heard);
    life.after(0, 'run');
    life.after(60, 'run');
    life.backAfter(700);
    life.broker.say('yard/mower/alive', 'online');
    life.after(0, 'stop');
    expect(life.total()).toBe(60);
  });

  test('a low voltage that waited ends the run at the last sample before the loss', () => {
    const life = live(voltage);
    for (const at of [0, 30, 60, 90]) life.after(at === 0 ? 0 : 30, '14.1');
    expect(life.total()).toBe(90);
    life.backAfter(700);
    life.after(0, '14.1');
    life.after(0, '12.6');
    expect(life.total()).toBe(90);
    life.after(60, '12.6');
    expect(life.total()).toBe(90);
  });

  test('a charging voltage that goes on counts through the loss', () => {
    const life = live(voltage);
    for (const at of [0, 30, 60, 90]) life.after(at === 0 ? 0 : 30, '14.1');
    life.backAfter(300);
    life.after(0, '14.1');
    life.after(30, '14.1');
    expect(life.total()).toBe(420);
  });

  test('the first word of all is kept at once, so that a crash does not take what is counted from it', () => {
    const life = live(runningWords);
    life.backAfter(0, false);
    life.after(1, 'stop');
    expect(life.kept.entries.at(-1)?.entry.state.counting).toMatchObject({
      kind: 'running',
      last: { deviceAtMs: null },
    });
    expect(life.kept.entries).toHaveLength(1);
  });

  test('a counter is exact through any loss, whether the broker kept a backlog or not', () => {
    for (const isKept of [true, false]) {
      const life = live(runSeconds);
      life.after(0, '1000');
      life.after(60, '1060');
      life.backAfter(700, isKept);
      life.after(0, '1400');
      life.after(0, '1500');
      life.after(60, '1560');
      expect(life.total()).toBe(560);
    }
  });
});

/** One engine and its sensor, which says each half minute and at each turn what it is; the connection is lost and comes back. */
interface Minute {
  readonly runs: boolean;
  readonly hears: boolean;
  readonly isKept: boolean;
}

test('whatever is lost and whenever, words never count more than the engine ran, and the total never falls', () => {
  const minutes = fc.array(
    fc.record({
      runs: fc.boolean(),
      hears: fc.boolean(),
      isKept: fc.boolean(),
    }),
    { minLength: 2, maxLength: 40 },
  );
  fc.assert(
    fc.property(minutes, fc.constantFrom(0 as const, 1 as const), (all: readonly Minute[], qos) => {
      const life = openWatch(runningWords);
      let waits: string[] = [];
      let ran = 0;
      let isHearing = true;
      let before = 0;
      const say = (word: string) => {
        if (isHearing) life.say(word, false, qos);
        else if (qos === 1) waits.push(word);
      };
      for (const { runs, hears, isKept } of all) {
        if (hears && !isHearing) {
          isHearing = true;
          life.broker.comeBack(isKept);
          if (isKept) for (const word of waits) life.say(word);
          waits = [];
        }
        if (!hears) isHearing = false;
        for (let half = 0; half < 2; half += 1) {
          say(runs ? 'run' : 'stop');
          life.pass(30);
          ran += runs ? 30 : 0;
        }
        expect(life.total()).toBeGreaterThanOrEqual(before);
        expect(life.total()).toBeLessThanOrEqual(ran);
        before = life.total();
      }
    }),
    { numRuns: 500 },
  );
});
