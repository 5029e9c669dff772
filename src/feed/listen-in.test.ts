import { describe, expect, test } from 'vitest';
import {
  keepInMemory,
  machineWith,
  meterHours,
  moment,
  runningWords,
  runSeconds,
  voltage,
} from '../../tests/stage/feeds.js';
import { parseZone } from '../domain/day.js';
import type { Feed } from '../domain/machine.js';
import { sayHeard } from '../words/heard.js';
import { followFeed } from './follow.js';
import { listenIn } from './listen-in.js';
import type { FeedState } from './state.js';

const zone = parseZone('Europe/Lisbon');
const fresh = { retain: false, dup: false, qos: 1 as const };
const open = (feed: Feed, kept: FeedState | null = null) => {
  const ear = listenIn(machineWith(feed), feed, zone, kept);
  return {
    ear,
    say: (seconds: number, payload: string | Buffer, retain = false) =>
      sayHeard(ear.hear('t', Buffer.from(payload), moment(seconds), { ...fresh, retain }), zone),
    alive: (seconds: number, payload: string) =>
      sayHeard(ear.hearAlive('alive', Buffer.from(payload), moment(seconds), fresh), zone),
  };
};

describe('what a person hears of a sensor', () => {
  test('a counter: its baseline, what a rise adds, and repeats', () => {
    const { say } = open(runSeconds);
    expect(say(0, '3600')).toBe('13:00:00 t “3600”: 3,600 s on the counter; the first value, from which it counts.');
    expect(say(10, '3610')).toBe('13:00:10 t “3610”: 3,610 s on the counter; 10 s more, 10 s in all.');
    expect(say(20, '3610')).toBe('13:00:20 t “3610”: 3,610 s on the counter; nothing new.');
    expect(say(30, '3610', true)).toContain(': kept by the broker from before; 3,610 s');
    expect(say(40, '9000')).toMatch(
      /: refused: the counter rose by 5,390 s, but at most \d+ s can have passed\. Nothing changes\.$/,
    );
  });

  test("a sensor's own time that cannot be right is named, one that can be is used without a word", () => {
    const { say } = open({ ...runningWords, pointer: '/on', timePointer: '/at' });
    const at = (time: string) => JSON.stringify({ on: 'run', at: time });
    expect(say(0, at('1970-01-01T01:00:00Z'))).toContain(
      "; the sensor's own time, 1970-01-01 02:00, cannot be right: taken as of when it came.",
    );
    expect(say(10, at('2099-05-01T10:00:00Z'))).toContain("the sensor's own time, 2099-05-01 11:00, cannot be right");
    const right = new Date(moment(20).atMs).toISOString();
    expect(say(20, at(right))).not.toContain('own time');
  });

  test('a counter that begins again from zero is said to, and its next value is not', () => {
    const { say } = open(runSeconds);
    say(0, '3600');
    say(10, '3610');
    expect(say(40, '12')).toBe(
      '13:00:40 t “12”: 12 s on the counter; the counter began again from zero; 12 s more, 22 s in all.',
    );
    expect(say(50, '22')).not.toContain('again');
  });

  test('words: when the engine starts, runs on and stops, and the word in neither list with both lists', () => {
    const { say, alive } = open({ ...runningWords, aliveTopic: 'alive' });
    expect(say(0, 'run')).toBe('13:00:00 t “run”: the engine runs; it counts from here on.');
    expect(say(60, 'run')).toBe('13:01:00 t “run”: the engine runs; 60 s more, 60 s in all.');
    expect(say(60.02, 'run')).toBe('13:01:00 t “run”: the engine runs; nothing new.');
    expect(say(61, 'maybe')).toContain('refused: ');
    expect(say(61, 'maybe')).toContain('run');
    expect(say(120, 'stop')).toBe('13:02:00 t “stop”: the engine stands still; 60 s more, 120 s in all.');
    expect(alive(121, '1')).toBe('13:02:01 alive “1”: the sensor is there.');
    expect(alive(122, '0')).toBe('13:02:02 alive “0”: the sensor is gone; hours from here on are estimated.');
  });

  test('a voltage: still standing until it has held, then running', () => {
    const { say } = open(voltage);
    expect(say(0, '12.6')).toMatch(/12\.6 V, the engine stands still; nothing new\.$/);
    expect(say(10, '13.9')).toMatch(/13\.9 V, which has not held long enough yet to count as running\.$/);
    expect(say(20, '13.9')).toMatch(/13\.9 V, which has not held long enough yet to count as running\.$/);
    expect(say(71, '13.9')).toContain('13.9 V, the engine runs; 61 s more');
    expect(say(80, '12.6')).toMatch(/12\.6 V, which has not held long enough yet to count as standing still; 9 s more/);
    expect(say(141, '12.6')).toMatch(/12\.6 V, the engine stands still\.$/);
  });

  test('a meter, and one that goes back', () => {
    const { say } = open(meterHours);
    expect(say(0, '385.9')).toBe('13:00:00 t “385.9”: 385.9 h on the meter; the first value, from which it counts.');
    expect(say(3600, '386.2')).toBe('14:00:00 t “386.2”: 386.2 h on the meter; 0.3 h more.');
    expect(say(3700, '38.6')).toContain('refused: the meter stands at 38.6 h, below the 386.2 h');
    expect(say(3700, '49999.95')).toContain('refused: the meter rose from 386.2 h to 49,999.95 h, but at most ');
    expect(say(3700, '-5')).toContain('it must lie between 0 and 210,554,060.75.');
  });

  test('goes on from what the service kept, and agrees with it on every message', () => {
    const kept = keepInMemory();
    const machine = machineWith(runSeconds);
    const service = followFeed(machine, runSeconds, zone, kept);
    service.take(Buffer.from('100'), moment(0), fresh);
    service.take(Buffer.from('160'), moment(60), fresh);
    const { say } = open(runSeconds, kept.load(machine.id));
    expect(say(70, '170')).toContain('10 s more, 70 s in all');
    service.take(Buffer.from('170'), moment(70), fresh);
    expect(kept.totalSeconds(machine.id)).toBe(70);
  });

  test('a silence is told once', () => {
    const { ear, say } = open(runSeconds);
    expect(ear.fellSilent(moment(10_000))).toBe(false);
    say(0, '100');
    expect(ear.fellSilent(moment(900))).toBe(false);
    expect(ear.fellSilent(moment(901))).toBe(true);
    expect(ear.fellSilent(moment(2000))).toBe(false);
  });

  test('whatever comes stays on one line that no terminal obeys, and changes nothing', () => {
    const { say } = open({ ...runSeconds, pointer: '/s' });
    const deep = `${'['.repeat(10_000)}1${']'.repeat(10_000)}`;
    const odd = ['', 'null', 'text', '{"s":null}', '{"s":{}}', '{"x":1}', '\u001b[2J\r\n\u009b31m\u202e', deep];
    const said = [...odd, Buffer.from([0xff, 0xfe]), Buffer.alloc(10_000_000, 0x31)].map((payload) => say(0, payload));
    for (const line of said) {
      expect(line).toMatch(/: refused: .+ Nothing changes\.$/);
      expect(line).not.toMatch(/\p{C}/u);
      expect(line.length).toBeLessThan(250);
    }
    expect(said.at(-1)).toContain('(10,000,000 bytes)');
    expect(say(0, '{"s":50}')).toContain('the first value');
  });
});
