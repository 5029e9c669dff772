// Messages a second through decoding and store, beside a bare MQTT client that only counts messages, and one that inserts each message as
// a row in its own commit; and the bytes each writes. All drain the same queue of a real Mosquitto, in many short turns, since other
// programs make a disk slow for seconds; the median of the turns and the fastest are printed.
// Run after a build: node tests/bench/feed-speed.mjs [messages] [turns] [folder of the built files]. Compare ratios of one run only.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { pathToFileURL } from 'node:url';
import Database from 'better-sqlite3';
import mqtt from 'mqtt';
import { householdWith } from './feed-household.mjs';
import { figure } from './figure.mjs';

const messages = Number(process.argv[2] ?? 5_000);
const turns = Number(process.argv[3] ?? 7);
const built = process.argv[4] ?? process.env.SHEDBELL_BUILT ?? new URL('../../dist/', import.meta.url).href;
const base = built.startsWith('file:') ? built : `${pathToFileURL(built).href}/`;
const load = (file) => import(`${base}${file}`);
const { openBroker } = await load('broker/connection.js');
const { watchFeeds } = await load('feed/watch.js');
const { parseFeedState } = await load('feed/state.js');
const { feedHand } = await load('ledger/feed-hand.js');
const { openStore } = await load('store/open.js');

const topic = 'yard/mower/seconds';
const clientId = 'bench';
const startMs = Date.UTC(2031, 5, 1);
const folder = mkdtempSync(join(tmpdir(), 'shedbell-bench-'));
const quiet = () => undefined;
let files = 0;
const freshFile = () => {
  files += 1;
  return join(folder, `${files}.sqlite`);
};

async function startBroker() {
  const probe = createServer().listen(0, '127.0.0.1');
  await once(probe, 'listening');
  const { port } = probe.address();
  probe.close();
  await once(probe, 'close');
  writeFileSync(
    join(folder, 'mosquitto.conf'),
    `listener ${port} 127.0.0.1\nallow_anonymous true\nmax_queued_messages 1000000\nlog_dest stderr\nuser root\n`,
  );
  const peer = spawn('/usr/sbin/mosquitto', ['-c', join(folder, 'mosquitto.conf')], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  await new Promise((resolve, reject) => {
    peer.once('error', reject);
    createInterface({ input: peer.stderr }).on('line', (line) => {
      if (/running/.test(line)) resolve();
    });
  });
  return { peer, url: `mqtt://127.0.0.1:${port}` };
}

/** Bytes handed to the system in write calls, and those that reached the disk, by this process. */
function written() {
  const text = readFileSync('/proc/self/io', 'utf8');
  const of = (name) => Number(new RegExp(`^${name}: (\\d+)$`, 'm').exec(text)?.[1]);
  return { calls: of('wchar'), disk: of('write_bytes') };
}

/** Done at the last message; seconds run from the first, until they are asked for. */
function stopwatch() {
  let taken = 0;
  let from = 0;
  let finish = quiet;
  const done = new Promise((resolve) => {
    finish = resolve;
  });
  return {
    done,
    begin() {
      if (taken === 0) from = performance.now();
    },
    took() {
      taken += 1;
      if (taken === messages) finish();
    },
    seconds: () => (performance.now() - from) / 1000,
  };
}

const plainClient = (url) =>
  mqtt.connect(url, {
    clientId,
    clean: false,
    protocolVersion: 5,
    manualConnect: true,
    properties: { sessionExpiryInterval: 3600 },
  });

const consumers = {
  'bare counter': async (url) => {
    const watch = stopwatch();
    const client = plainClient(url);
    client.handleMessage = (_packet, acknowledge) => {
      watch.begin();
      acknowledge();
      watch.took();
    };
    client.connect();
    await watch.done;
    const seconds = watch.seconds();
    await client.endAsync();
    return { seconds };
  },
  'row inserter': async (url) => {
    const watch = stopwatch();
    const db = new Database(freshFile());
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.exec('CREATE TABLE messages (id INTEGER PRIMARY KEY, at_ms INTEGER, topic TEXT, payload TEXT)');
    const insert = db.prepare('INSERT INTO messages (at_ms, topic, payload) VALUES (?, ?, ?)');
    const client = plainClient(url);
    client.handleMessage = (packet, acknowledge) => {
      watch.begin();
      insert.run(Date.now(), packet.topic, packet.payload.toString());
      acknowledge();
      watch.took();
    };
    client.connect();
    await watch.done;
    const seconds = watch.seconds();
    const rows = db.prepare('SELECT count(*) AS n FROM messages').get().n;
    if (rows !== messages) throw new Error(`${rows} rows of ${messages}`);
    await client.endAsync();
    db.close();
    return { seconds };
  },
  'decode and store': async (url, wanted, pace) => {
    const watch = stopwatch();
    const store = openStore(freshFile());
    const home = householdWith({
      kind: 'run-seconds',
      topic,
      pointer: '/raw',
      scale: 0.001,
      offset: 0,
      silentAfterMinutes: 15,
    });
    let came = 0;
    const monotonicMs = pace === 'live' ? () => came * 10_000 : () => performance.now();
    const clock = { nowMs: () => startMs + Math.round(monotonicMs()) };
    const log = { error: quiet, warn: quiet, info: quiet, debug: quiet };
    const broker = openBroker({ url, protocol: '5', clientId }, { clock, log, random: Math.random });
    const feeds = watchFeeds({
      broker: {
        onConnect: broker.onConnect,
        subscribe: (of, handler) =>
          broker.subscribe(of, (...message) => {
            watch.begin();
            came += 1;
            handler(...message);
            watch.took();
          }),
      },
      home,
      clock,
      monotonicMs,
      boot: 'one',
      notBeforeMs: 0,
      log,
      hand: feedHand({ store, home: () => home, clock }, parseFeedState),
    });
    broker.connect();
    await watch.done;
    // What waits in memory is written: as with the rows, the time ends when all is stored.
    feeds.close();
    const seconds = watch.seconds();
    const total = store.sql.row('SELECT run_seconds FROM feed_totals')?.run_seconds;
    if (Math.abs(total - wanted) > 1e-6) throw new Error(`counted ${total} s of ${wanted} s`);
    await broker.close();
    store.close();
    return { seconds };
  },
};

/** Fills the queue that waits for the consumer. The counter counts thousandths of a second, so that what it rises fits into the time that
 *  draining takes. @returns seconds that it rises from its first value */
async function fill(url, every) {
  const session = plainClient(url);
  session.connect();
  await once(session, 'connect');
  await session.subscribeAsync(topic, { qos: 1 });
  await session.endAsync();
  const sensor = await mqtt.connectAsync(url, { clientId: 'sensor' });
  let raw = 1_000_000_000;
  const sent = [];
  for (let i = 0; i < messages; i += 1) {
    if (i > 0 && i % every === 0) raw += 1;
    sent.push(sensor.publishAsync(topic, JSON.stringify({ raw, battery: 12.7, rssi: -61 }), { qos: 1 }));
    if (sent.length >= 500) await Promise.all(sent.splice(0));
  }
  await Promise.all(sent);
  await sensor.endAsync();
  return (raw - 1_000_000_000) / 1000;
}

const { peer, url } = await startBroker();
try {
  // `drain`: a queue that is taken at once. `live`: our clock goes on by ten seconds with each message, as if they came one by one, so that
  // what waits in memory is written every 30 messages.
  for (const [title, every, pace] of [
    ['every message changes the total', 1, 'drain'],
    ['1 in 12 does (2 hours of 24)', 12, 'drain'],
    ['1 in 50 does', 50, 'drain'],
    ['1 in 12 does, by the clock of live messages', 12, 'live'],
    ['1 in 50 does, by the clock of live messages', 50, 'live'],
  ]) {
    const all = Object.fromEntries(Object.keys(consumers).map((name) => [name, []]));
    for (let turn = 0; turn < turns; turn += 1) {
      for (const [name, consume] of Object.entries(consumers)) {
        const wanted = await fill(url, every);
        const before = written();
        const { seconds } = await consume(url, wanted, pace);
        const after = written();
        all[name].push({
          rate: messages / seconds,
          calls: after.calls - before.calls,
          disk: after.disk - before.disk,
        });
      }
    }
    console.log(`${title}, ${turns} turns of ${messages} messages:`);
    const of = (name, figure) => {
      const sorted = all[name].map((turn) => turn[figure]).sort((a, b) => a - b);
      return { median: sorted[Math.floor(sorted.length / 2)], fastest: sorted.at(-1) };
    };
    const socket = of('bare counter', 'calls').median;
    for (const name of Object.keys(consumers)) {
      const { median, fastest } = of(name, 'rate');
      const bytes = (of(name, 'calls').median - socket) / messages;
      console.log(
        `  ${name.padEnd(17)} ${Math.round(median).toString().padStart(7)} messages/s (fastest ${Math.round(fastest)}), ` +
          `${Math.round(bytes)} bytes a message (${Math.round(of(name, 'disk').median / messages)} by the kernel)`,
      );
    }
    const [bare, rows, ours] = ['bare counter', 'row inserter', 'decode and store'];
    const share = (what, other, at) => of(ours, what)[at] / of(other, what)[at];
    const bytes = (of(ours, 'calls').median - socket) / (of(rows, 'calls').median - socket);
    console.log(
      `  ours to the row inserter: ${share('rate', rows, 'median').toFixed(2)} times as fast (fastest ${share('rate', rows, 'fastest').toFixed(2)}), ` +
        `${bytes.toFixed(3)} of its bytes (${share('disk', rows, 'median').toFixed(3)} by the kernel); ` +
        `to the bare counter: ${share('rate', bare, 'median').toFixed(3)}`,
    );
    const turnByTurn = (other) => all[ours].map((turn, at) => turn.rate / all[other][at].rate);
    figure(`feed, ${title}: messages a second to one row and commit each`, turnByTurn(rows), {
      least: every === 1 ? 1 : 10,
    });
    figure(`feed, ${title}: messages a second to a bare client that only counts`, turnByTurn(bare));
  }
} finally {
  peer.kill();
  rmSync(folder, { recursive: true, force: true });
}
