// The feeds of the built service on a real store, as a program of its own that may be killed at any moment; its clock runs faster than ours.
// Arguments: one JSON text { url, protocol, home, file, baseMs, speed, fence, tell }. Says "connected", each payload
// of the fence's topic, and "heard" with each payload of the topic `tell` once it was counted.
import { randomUUID } from 'node:crypto';

const built = process.env.SHEDBELL_BUILT ?? new URL('../../dist/', import.meta.url).href;
const { openBroker } = await import(`${built}broker/connection.js`);
const { watchFeeds } = await import(`${built}feed/watch.js`);
const { parseFeedState } = await import(`${built}feed/state.js`);
const { feedHand } = await import(`${built}ledger/feed-hand.js`);
const { openStore } = await import(`${built}store/open.js`);

const { url, protocol, home, file, baseMs, speed, fence, tell } = JSON.parse(process.argv[2] ?? '{}');
const say = (word) => process.stdout.write(`${word}\n`);
const quiet = () => undefined;
const log = {
  error: quiet,
  warn: (fields, event) => say(`warn ${event} ${JSON.stringify(fields)}`),
  info: quiet,
  debug: quiet,
};
const clock = { nowMs: () => baseMs + Math.round((Date.now() - baseMs) * speed) };
const store = openStore(file);
const books = { store, home: () => home, clock };
const broker = openBroker(
  { url, protocol, clientId: 'shedbell-child' },
  { clock, log, random: Math.random, pace: { leastMs: 20, mostMs: 200 } },
);
const watch = watchFeeds({
  broker,
  home,
  clock,
  monotonicMs: () => performance.now() * speed,
  boot: randomUUID(),
  notBeforeMs: 0,
  log,
  hand: feedHand(books, parseFeedState, (machine, fault) => say(`warn ${machine} ${fault.line}`)),
});
broker.subscribe(tell, (_topic, payload) => say(`heard ${payload}`));
broker.subscribe(fence, (_topic, payload) => say(payload.toString()));
broker.onConnect(() => say('connected'));
broker.connect();
// A minute of its clock, but not more often than a computer can.
const looks = setInterval(() => watch.look(), Math.max(50, 60_000 / speed));
process.once('SIGTERM', async () => {
  clearInterval(looks);
  watch.close();
  await broker.close();
  store.close();
  process.exit(0);
});
