import { randomUUID } from 'node:crypto';
import { openBroker } from '../broker/connection.js';
import { plainAddress } from '../broker/plain-words.js';
import { earliestSaneMs } from '../daemon/clock.js';
import { formatInstant } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Feed, Machine } from '../domain/machine.js';
import type { Log } from '../domain/outside.js';
import type { HeardMessage } from '../domain/results/heard.js';
import type { Moment } from '../feed/count/moment.js';
import { listenIn } from '../feed/listen-in.js';
import type { FeedState } from '../feed/state.js';
import { sayHeard } from '../words/heard.js';
import { type At, clockAt } from './at.js';
import { BadInput, exitStatus, type Output } from './output.js';
import { untilStopped } from './start.js';

/** A machine with its sensor, and what the service kept of it last. */
export interface KnownFeed {
  readonly home: Home;
  readonly machine: Machine;
  readonly feed: Feed;
  readonly kept: FeedState | null;
}

/** How often a silence is looked for. */
const lookMs = 10_000;
/** Nothing came for so long after the start: a hint helps. */
const hintAfterMs = 30_000;

/** Shows what arrives from a sensor, what it is taken for, and what is refused and why, until Ctrl-C. It listens as a guest with a
 *  client id of its own, so it takes nothing away from the service; and it keeps nothing.
 *  @param json  one JSON document a message on its own line, all else on standard error */
export async function watchFeed(at: At, known: KnownFeed, json: boolean, out: Output): Promise<number> {
  const { home, machine, feed, kept } = known;
  const { mqtt, zone } = home.household;
  if (mqtt === undefined) {
    throw new BadInput('household.yaml names no broker. Write, for example: mqtt: { url: mqtt://localhost:1883 }');
  }
  const stopped = untilStopped();
  const aside = (text: string) => (json ? out.error(text) : out.line(text));
  const clock = clockAt(at, zone);
  const boot = randomUUID();
  const startMs = performance.now();
  let isAnythingHeard = false;
  let isHinted = false;
  const now = (): Moment => {
    const atMs = clock.nowMs();
    return { atMs, monotonicMs: performance.now(), boot, believable: atMs >= earliestSaneMs };
  };
  const ear = listenIn(machine, feed, zone, kept);
  const tell = (message: HeardMessage) => {
    isAnythingHeard = true;
    out.line(json ? JSON.stringify(documentOf(message)) : sayHeard(message, zone));
  };

  const broker = openBroker(
    { ...mqtt, clientId: `shedbell-watch-${randomUUID().slice(0, 8)}`, isGuest: true },
    { clock, log: troubleOnly(aside), random: Math.random },
  );
  broker.subscribe(feed.topic, (topic, payload, delivered) => tell(ear.hear(topic, payload, now(), delivered)));
  if (feed.aliveTopic !== undefined) {
    broker.subscribe(feed.aliveTopic, (topic, payload, delivered) =>
      tell(ear.hearAlive(topic, payload, now(), delivered)),
    );
  }
  const topics = [feed.topic, ...(feed.aliveTopic === undefined ? [] : [feed.aliveTopic])].join(' and ');
  broker.onConnect(() =>
    aside(`Connected to ${plainAddress(mqtt.url)}, listening to ${topics}. Nothing is kept. Ctrl-C ends it.`),
  );
  const ticker = setInterval(() => {
    if (ear.fellSilent(now())) {
      aside(`Silent for more than ${feed.silentAfterMinutes} min: hours from here on are estimated.`);
    }
    if (isAnythingHeard || isHinted || !broker.state().connected || performance.now() - startMs < hintAfterMs) return;
    isHinted = true;
    aside(
      `Nothing has come on ${topics} yet. Is the topic right, and the sensor switched on? Some only speak when the engine starts or stops.`,
    );
  }, lookMs);
  broker.connect();
  await stopped;
  clearInterval(ticker);
  await broker.close();
  return exitStatus.fine;
}

function documentOf({ atMs, deviceAtMs, ...message }: HeardMessage) {
  return {
    at: formatInstant(atMs),
    ...message,
    deviceAt: deviceAtMs === null ? null : formatInstant(deviceAtMs),
  };
}

/** Troubles of the connection in their plain words; nothing else of what the service would log. */
function troubleOnly(aside: (text: string) => void): Log {
  return {
    error: (_fields, event) => aside(event),
    warn: (fields, event) => aside(typeof fields.what === 'string' ? fields.what : event),
    info: () => {},
    debug: () => {},
  };
}
