import mqtt from 'mqtt';
import type { MqttSettings } from '../domain/household.js';
import type { Clock, Log, Random } from '../domain/outside.js';
import { type Pace, usualPace, waitBeforeAttempt } from './backoff.js';
import { plainAddress, sayConnectionError } from './plain-words.js';
import { checkTopic } from './topic.js';

/** Retained "online" while this service is connected, "offline" when it stopped or vanished. */
export const serviceTopic = 'shedbell/service';

/** What came with a message: `retain` is the last known state, not a fresh event; `dup` may have been handled before; what came with
 *  `qos` 0 the broker does not keep for us while we are away. */
export interface Delivered {
  readonly retain: boolean;
  readonly dup: boolean;
  readonly qos: 0 | 1 | 2;
}

/** Commits before it returns. Throwing leaves the message unacknowledged: the broker sends it again after a reconnect. */
export type MessageHandler = (topic: string, payload: Buffer, delivered: Delivered) => void;

interface BrokerState {
  readonly connected: boolean;
  /** Since when it is connected, or not; UTC milliseconds. */
  readonly sinceMs: number;
  /** What went wrong last, in plain words; null where nothing did since the last good connection. */
  readonly lastError: string | null;
  /** The connection is taken away again and again soon after it is made: another program seems to use our client id. Stays until
   *  a connection has held for a minute. */
  readonly isContested: boolean;
}

/** The one MQTT connection of the service. */
export interface Broker {
  /** Starts connecting, and keeps at it. Subscribe first: what a broker kept for us arrives with the connection. */
  connect(): void;
  /** Messages of one topic, QoS 1; several handlers of a topic are all called. Returns how to stop.
   *  @throws Fault topic-unfit */
  subscribe(topic: string, handler: MessageHandler): () => void;
  /** Sends when connected, and answers whether it did; a state that was not sent is not queued: publish it again in `onConnect`. */
  publish(topic: string, payload: string, how: { readonly retain: boolean }): boolean;
  /** Called after each connection, before its first message, when states can be published; told whether the broker kept our session, and
   *  with it what was sent while we were away. Returns how to stop. */
  onConnect(listener: (isSessionKept: boolean) => void): () => void;
  state(): BrokerState;
  /** Says "offline", disconnects and keeps the session at the broker; waits at most two seconds for an answer. */
  close(): Promise<void>;
}

export interface BrokerSettings extends MqttSettings {
  /** Unique and stable for this installation: the broker keeps unread messages under it. */
  readonly clientId: string;
  /** Only listens for a while: nothing is kept for it at the broker, and it says nothing of the service. */
  readonly isGuest?: boolean;
}

export interface BrokerOutside {
  readonly clock: Clock;
  readonly log: Log;
  readonly random: Random;
  /** Waits between attempts; absent: 1 to 60 s. */
  readonly pace?: Pace;
}

const keepAliveSeconds = 30;
const sessionExpirySeconds = 30 * 86_400;
/** Messages in flight at once (MQTT 5): few enough that little is sent twice after a cut, enough that the broker does not wait for us while a
 *  backlog drains (10 took half as long again per message as 100). */
const receiveMaximum = 100;
/** A connection that held this long is good: the next wait starts from the shortest again. */
const steadyMs = 60_000;
const closeWaitMs = 2_000;
/** So many connections in a row that were taken from us before they were good: no broker restarts as often. Common practice, no source. */
const contestedAfter = 3;
const contested =
  'Another program connects to the broker with the client id of this service; is it started twice, or was its folder copied?';
/** MQTT 3.1.1 names no reason. */
const seemsContested =
  'The broker ends our connection again and again: it restarts, or another program uses the client id of this service. Is the service started twice, or was its folder copied?';

/** Makes the connection without opening it yet; see `Broker.connect`. */
export function openBroker(settings: BrokerSettings, outside: BrokerOutside): Broker {
  const { clock, log, random, pace = usualPace } = outside;
  const isGuest = settings.isGuest === true;
  const address = plainAddress(settings.url);
  const handlers = new Map<string, Set<MessageHandler>>();
  const listeners = new Set<(isSessionKept: boolean) => void>();
  /** Topics that the session at the broker is known to hold. */
  const subscribed = new Set<string>();
  let state: BrokerState = { connected: false, sinceMs: clock.nowMs(), lastError: null, isContested: false };
  let attempt = 0;
  /** Connections in a row that ended before they were good, and not by us. */
  let takenAway = 0;
  let isCutByUs = false;
  let steady: NodeJS.Timeout | undefined;
  let isClosing = false;

  const client = mqtt.connect(settings.url, {
    manualConnect: true,
    protocolVersion: settings.protocol === '5' ? 5 : 4,
    clientId: settings.clientId,
    clean: isGuest,
    keepalive: keepAliveSeconds,
    reconnectPeriod: waitBeforeAttempt(0, random, pace),
    reconnectOnConnackError: true,
    resubscribe: false,
    queueQoSZero: false,
    ...(isGuest
      ? {}
      : { will: { topic: serviceTopic, payload: Buffer.from('offline'), qos: 1 as const, retain: true } }),
    ...(settings.user === undefined ? {} : { username: settings.user }),
    ...(settings.password === undefined ? {} : { password: settings.password }),
    ...(settings.caPem === undefined ? {} : { ca: [settings.caPem] }),
    ...(settings.protocol === '5'
      ? { properties: { sessionExpiryInterval: isGuest ? 0 : sessionExpirySeconds, receiveMaximum } }
      : {}),
  });

  // The 'message' event fires before this and before anything is stored, so nothing listens to it.
  client.handleMessage = (packet, acknowledge) => {
    const found = handlers.get(packet.topic);
    if (found === undefined || found.size === 0) {
      dropSubscription(packet.topic);
      acknowledge();
      return;
    }
    const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
    try {
      const { retain, dup, qos } = packet;
      for (const handler of [...found]) handler(packet.topic, payload, { retain, dup, qos });
    } catch (error) {
      log.error({ topic: packet.topic, error }, 'a message could not be stored; it is left with the broker');
      if (packet.qos === 0) {
        acknowledge();
        return;
      }
      // Neither acknowledged nor answered: later messages stay behind it, and all come again, in order, on the next connection.
      isCutByUs = true;
      client.stream.destroy();
      return;
    }
    acknowledge();
  };

  client.on('connect', (connack) => {
    state = { ...state, connected: true, sinceMs: clock.nowMs(), lastError: null };
    isCutByUs = false;
    steady = setTimeout(() => {
      attempt = 0;
      takenAway = 0;
      state = { ...state, isContested: false };
      client.options.reconnectPeriod = waitBeforeAttempt(0, random, pace);
    }, steadyMs);
    steady.unref();
    log.info({ address, session: connack.sessionPresent ? 'kept' : 'new' }, 'connected to the broker');
    if (!connack.sessionPresent) subscribed.clear();
    for (const topic of handlers.keys()) ensureSubscribed(topic);
    if (!isGuest) publish(serviceTopic, 'online', { retain: true });
    for (const listener of [...listeners]) listener(connack.sessionPresent);
  });
  client.on('reconnect', () => {
    attempt += 1;
    client.options.reconnectPeriod = waitBeforeAttempt(attempt, random, pace);
  });
  client.on('close', () => {
    clearTimeout(steady);
    if (!state.connected) return;
    state = { ...state, connected: false, sinceMs: clock.nowMs() };
    if (isClosing) return;
    log.warn({ address }, 'the connection to the broker ended; trying again');
    if (isCutByUs) return;
    takenAway += 1;
    if (takenAway >= contestedAfter && state.lastError === null) noteContest(seemsContested);
  });
  client.on('disconnect', (packet) => {
    // 142 of MQTT 5 section 2.4: another client came with our id.
    if (packet.reasonCode !== 142) return;
    noteContest(contested);
  });
  client.on('error', (error) => noteError(sayConnectionError(error, address)));

  function noteContest(words: string): void {
    noteError(words);
    state = { ...state, isContested: true };
  }

  function noteError(words: string): void {
    if (state.lastError !== words) log.warn({ address, what: words }, 'trouble with the broker');
    state = { ...state, lastError: words };
  }

  function ensureSubscribed(topic: string): void {
    if (subscribed.has(topic) || !client.connected) return;
    subscribed.add(topic);
    client.subscribe(topic, { qos: 1 }, (error) => {
      if (error === null) return;
      subscribed.delete(topic);
      if (client.connected) noteError(`The broker at ${address} refused to send us the topic ${topic}.`);
    });
  }

  function dropSubscription(topic: string): void {
    subscribed.delete(topic);
    if (!client.connected) return;
    log.info({ topic }, 'a topic that no machine uses any more is given up');
    client.unsubscribe(topic);
  }

  function publish(topic: string, payload: string, how: { readonly retain: boolean }): boolean {
    if (!client.connected) return false;
    client.publish(topic, payload, { qos: 1, retain: how.retain }, (error) => {
      if (error !== undefined && error !== null) log.debug({ topic, error }, 'a message was not taken by the broker');
    });
    return true;
  }

  return {
    connect: () => {
      client.connect();
    },
    subscribe(topic, handler) {
      checkTopic(topic);
      const all = handlers.get(topic) ?? new Set();
      all.add(handler);
      handlers.set(topic, all);
      ensureSubscribed(topic);
      return () => {
        all.delete(handler);
        if (all.size > 0 || handlers.get(topic) !== all) return;
        handlers.delete(topic);
        dropSubscription(topic);
      };
    },
    publish,
    onConnect(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    state: () => state,
    async close() {
      isClosing = true;
      clearTimeout(steady);
      // Ended before the broker said a word, the library would take the closed connection for a lost one and try again for ever.
      client.options.reconnectPeriod = 0;
      if (client.connected) {
        if (!isGuest) {
          await within(closeWaitMs, client.publishAsync(serviceTopic, 'offline', { qos: 1, retain: true }));
        }
        await within(closeWaitMs, client.endAsync());
      }
      if (!client.disconnected) await within(closeWaitMs, client.endAsync(true));
      state = { ...state, connected: false, sinceMs: clock.nowMs() };
    },
  };
}

/** Waits for an answer that a dead network may never give. */
async function within(limitMs: number, answer: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const limit = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, limitMs);
  });
  await Promise.race([answer.then(() => undefined).catch(() => undefined), limit]);
  clearTimeout(timer);
}
