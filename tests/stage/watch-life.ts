import type { Feed } from '../../src/domain/machine.js';
import { watchFeeds } from '../../src/feed/watch.js';
import { fakeBroker, homeWith, type KeptFeeds, keepInMemory, machineWith, rememberLog, startMs } from './feeds.js';

export const topic = 'yard/mower/run';
export const id = 'yard-mower';

/** One life of the service: a watch with a driven clock on a store that outlives it. */
export function openWatch(feed: Feed, kept: KeptFeeds = keepInMemory(), from = { seconds: 0, boot: 'first' }) {
  const broker = fakeBroker();
  const log = rememberLog();
  let wallMs = startMs + from.seconds * 1000;
  let monotonic = 0;
  const watch = watchFeeds({
    broker,
    home: homeWith([machineWith(feed)]),
    clock: { nowMs: () => wallMs },
    monotonicMs: () => monotonic,
    boot: from.boot,
    notBeforeMs: Date.UTC(2030, 0, 1),
    log,
    hand: kept,
  });
  return {
    watch,
    kept,
    log,
    broker,
    pass(seconds: number) {
      wallMs += seconds * 1000;
      monotonic += seconds * 1000;
    },
    setWall(ms: number) {
      wallMs = ms;
    },
    say: (payload: string | Buffer, retain = false, qos: 0 | 1 = 1) => broker.say(topic, payload, retain, qos),
    total: () => kept.totalSeconds(id),
  };
}
