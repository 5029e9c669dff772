import { describe, expect, test } from 'vitest';
import type { MessageHandler } from '../../src/broker/connection.js';
import { addDays, dayMs, hourMs, minuteMs, parseDay, startOfDay } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import { parseFeedState } from '../../src/feed/state.js';
import { watchFeeds } from '../../src/feed/watch.js';
import type { Books } from '../../src/ledger/books.js';
import { feedHand } from '../../src/ledger/feed-hand.js';
import { gather } from '../../src/ledger/gather.js';
import { playFeed } from '../../src/rehearsal/demo/feed.js';
import { sensorPayload } from '../../src/rehearsal/demo/payload.js';
import { trueHours } from '../../src/rehearsal/truth/true-hours.js';
import { openStore } from '../../src/store/open.js';
import { noLog } from '../stage/no-log.js';
import { homeOfOne, someOil } from '../stage/rehearsed.js';

const topic = 'quarrybottom/orchard-mower/run';
const machine = 'orchard-mower';
const fitted = parseDay('2031-04-01');
const to = parseDay('2031-04-10');
const home: Home = homeOfOne([someOil], {
  feed: { kind: 'run-seconds', topic, pointer: '/seconds', scale: 1, offset: 0, silentAfterMinutes: 15 },
});
const { zone } = home.household;
const usage = [
  { day: parseDay('2031-04-02'), hours: 3 },
  { day: parseDay('2031-04-05'), hours: 1.5 },
  { day: parseDay('2031-04-09'), hours: 14 },
];
const meter = trueHours(usage, 100, parseDay('2031-03-01'), to, zone);
const allDays = new Set(Array.from({ length: 10 }, (_, i) => addDays(fitted, i)));
const endMs = startOfDay(addDays(to, 1), zone) - 10 * minuteMs;

function openBooks(): Books {
  return { store: openStore(':memory:'), home: () => home, clock: { nowMs: () => endMs } };
}

function factsIn(books: Books) {
  const facts = gather(books).machines.find((m) => m.machine === machine);
  if (facts === undefined) throw new Error('no facts');
  return facts;
}

const lengthOf = (spans: readonly { fromMs: number; toMs: number }[]) =>
  spans.reduce((ms, span) => ms + span.toMs - span.fromMs, 0);

describe('the past of the demo’s sensor', () => {
  test('counts every second of the true hours, in runs that add up to them', () => {
    const books = openBooks();
    const seconds = playFeed({ books, machine, meter, fitted, alive: allDays }).finish(endMs);
    const facts = factsIn(books);
    expect(seconds).toBe(18.5 * 3600);
    expect(facts.feedTotal).toEqual({ runSeconds: seconds, lastAtMs: endMs });
    expect(lengthOf(facts.runs) / hourMs).toBeCloseTo(18.5, 3);
    expect(facts.coverage).toEqual([{ fromMs: startOfDay(fitted, zone), toMs: endMs }]);
  });

  test('kept day by day is the same as kept at once', () => {
    const [once, daily] = [openBooks(), openBooks()];
    playFeed({ books: once, machine, meter, fitted, alive: allDays }).finish(endMs);
    const feed = playFeed({ books: daily, machine, meter, fitted, alive: allDays });
    for (const day of allDays) feed.playUntil(startOfDay(day, zone) + 18.5 * hourMs);
    feed.finish(endMs);
    expect({ ...factsIn(daily), machine: '' }).toEqual({ ...factsIn(once), machine: '' });
  });

  test('covers only the days on which it is heard, and counts what ran unheard', () => {
    const books = openBooks();
    const alive = new Set([...allDays].filter((day) => day !== '2031-04-05' && day !== '2031-04-06'));
    playFeed({ books, machine, meter, fitted, alive }).finish(endMs);
    const facts = factsIn(books);
    expect(facts.feedTotal?.runSeconds).toBe(18.5 * 3600);
    expect(facts.coverage).toHaveLength(2);
    expect(lengthOf(facts.coverage) / dayMs).toBeCloseTo(8, 1);
  });

  test('goes on live from the same counter, in another process', () => {
    const books = openBooks();
    const seconds = playFeed({ books, machine, meter, fitted, alive: allDays }).finish(endMs);
    let nowMs = endMs + minuteMs;
    let say: MessageHandler = () => {};
    const watch = watchFeeds({
      broker: {
        onConnect: () => () => {},
        subscribe(_topic, handler) {
          say = handler;
          return () => {};
        },
      },
      home,
      clock: { nowMs: () => nowMs },
      monotonicMs: () => nowMs - endMs,
      boot: 'live',
      notBeforeMs: 0,
      log: noLog,
      hand: feedHand(books, parseFeedState),
    });
    const send = (counter: number) =>
      say(topic, Buffer.from(sensorPayload(counter)), { retain: false, dup: false, qos: 1 });
    send(seconds);
    expect(factsIn(books).feedTotal?.runSeconds).toBe(seconds);
    nowMs += 10_000;
    send(seconds + 10);
    watch.close();
    expect(factsIn(books).feedTotal).toEqual({ runSeconds: seconds + 10, lastAtMs: nowMs });
  });
});
