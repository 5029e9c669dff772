import { setTimeout as wait } from 'node:timers/promises';
import mqtt from 'mqtt';
import type { Random } from '../../src/domain/outside.js';

/** A sensor of our own invention: it counts the seconds its engine runs, and says each second whether it runs, both with its own time. */
export interface Sensor {
  /** Whole seconds that the engine ran after the first report: what the counter must come to. */
  ranSeconds(): number;
  /** Seconds from each yes to its no, by the reports; a silence longer than the feed bears counts nothing. */
  saidSeconds(): number;
  /** Every word that it said, as sent, by the broker's own word taken. */
  readonly words: readonly string[];
  /** The longest time between two reports, seconds. */
  longestReportSeconds(): number;
  readonly sent: number;
  /** Says where it stands, and goes on only once the broker has it. */
  report(): Promise<void>;
  /** Lives and reports until so many messages are sent; `onSent` hears of each. */
  live(messages: number, onSent: (sent: number) => void): Promise<void>;
  say(topic: string, payload: string): Promise<void>;
  end(): Promise<void>;
}

export interface SensorHabits {
  readonly url: string;
  readonly counterTopic: string;
  readonly wordTopic: string;
  /** One message after the other, or all that a stay out of reach kept. */
  readonly style: 'small' | 'bursts';
  /** Messages under way at once. */
  readonly window: number;
  /** The counter starts here, and from zero after each restart. */
  readonly firstSeconds: number;
  readonly restarts: boolean;
  /** A machine under load may hold the sensor up for seconds, which are a quarter of an hour of its own time: by the counting rules a run
   *  ends with the last word before so long a silence. */
  readonly silentAfterSeconds: number;
  readonly nowMs: () => number;
  /** How long its messages take to be sent in a life without faults, real milliseconds each. */
  readonly paceMs: number;
  readonly random: Random;
}

export async function startSensor(habits: SensorHabits): Promise<Sensor> {
  const { random, nowMs } = habits;
  const client = await mqtt.connectAsync(habits.url, { clientId: 'sensor', clean: false, reconnectPeriod: 30 });
  client.on('error', () => undefined);
  let sent = 0;
  let longest = 0;
  let counter = habits.firstSeconds;
  let ran = 0;
  let said = 0;
  let isRunning = false;
  let turnsAtMs = nowMs() + 20_000;
  let lastMs = Math.floor(nowMs() / 1000) * 1000;
  let isEnding = false;
  const words: string[] = [];
  const underWay = new Set<Promise<unknown>>();

  /** Lives up to now: whole seconds only, so that the truth is exact. Answers the reports of this moment. */
  function reports(): readonly (readonly [topic: string, payload: string])[] {
    const atMs = Math.floor(nowMs() / 1000) * 1000;
    const passed = Math.max(0, (atMs - lastMs) / 1000);
    lastMs += passed * 1000;
    longest = Math.max(longest, passed);
    if (isRunning) {
      counter += passed;
      ran += passed;
      if (passed <= habits.silentAfterSeconds) said += passed;
    }
    if (lastMs >= turnsAtMs) {
      isRunning = !isRunning;
      if (isRunning && habits.restarts && random() < 0.6) counter = 0;
      turnsAtMs = lastMs + (isRunning ? 60_000 + random() * 500_000 : 20_000 + random() * 120_000);
    }
    const at = lastMs / 1000;
    const word = JSON.stringify({ state: isRunning ? 'run' : 'stop', at });
    words.push(word);
    return [
      [habits.counterTopic, JSON.stringify({ seconds: counter, at })],
      [habits.wordTopic, word],
    ];
  }

  async function publish(topic: string, payload: string): Promise<void> {
    while (underWay.size >= habits.window) await Promise.race(underWay);
    const done = deliver(topic, payload).finally(() => underWay.delete(done));
    underWay.add(done);
    sent += 1;
  }

  /** Until the broker has it: the library gives a message back where the connection ended in the middle of it. */
  async function deliver(topic: string, payload: string): Promise<void> {
    for (;;) {
      try {
        await client.publishAsync(topic, payload, { qos: 1 });
        return;
      } catch (fault) {
        if (isEnding || !(fault instanceof Error) || !/closed/i.test(fault.message)) throw fault;
      }
    }
  }

  async function report(): Promise<void> {
    for (const [topic, payload] of reports()) await publish(topic, payload);
    await Promise.all(underWay);
  }

  return {
    ranSeconds: () => ran,
    saidSeconds: () => said,
    words,
    longestReportSeconds: () => longest,
    get sent() {
      return sent;
    },
    report,
    async live(messages, onSent) {
      const last = sent + messages;
      while (sent < last) {
        const count = habits.style === 'small' ? 1 : 10 + Math.floor(random() * 150);
        const kept: (readonly [string, string])[] = [];
        for (let i = 0; i < count; i += 1) {
          kept.push(...reports());
          await wait(2 * habits.paceMs);
        }
        for (const [topic, payload] of kept) {
          // Now and then the same once more, as a sensor does that is not sure.
          const times = random() < 0.03 ? 2 : 1;
          for (let i = 0; i < times; i += 1) await publish(topic, payload);
          onSent(sent);
        }
      }
      await Promise.all(underWay);
    },
    async say(topic, payload) {
      await Promise.all(underWay);
      await deliver(topic, payload);
    },
    async end() {
      isEnding = true;
      await client.endAsync(true);
    },
  };
}
