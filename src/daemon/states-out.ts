import type { Broker } from '../broker/connection.js';

/** The retained states of all machines on the broker: what changed goes out at once, all of it with each new connection. */
export interface StatesOut {
  /** @param states  topic to payload; a topic that was there before and is missing now is taken off the broker */
  show(states: ReadonlyMap<string, string>): void;
}

/** @param first  what was shown before on another connection; goes out with the first one here */
export function openStatesOut(
  broker: Pick<Broker, 'publish' | 'onConnect'>,
  first: ReadonlyMap<string, string> = new Map(),
): StatesOut {
  let wanted = new Map(first);
  /** What this connection has taken. */
  const sent = new Map<string, string>();

  const send = () => {
    for (const [topic, payload] of wanted) {
      if (sent.get(topic) === payload) continue;
      if (broker.publish(topic, payload, { retain: true })) sent.set(topic, payload);
    }
  };
  // A broker that lost its memory has no states any more.
  broker.onConnect(() => {
    sent.clear();
    send();
  });
  return {
    show(states) {
      const vanished = [...wanted.keys()].filter((topic) => !states.has(topic)).map((topic) => [topic, ''] as const);
      wanted = new Map([...vanished, ...states]);
      send();
    },
  };
}
