// What a feed costs a memory card: a machine that reports every 10 s and runs 2 hours a day, for simulated days, on a real SQLite file; and
// beside it, in the same run, what one row and one commit for each of these messages would cost.
// Run after a build: node tests/bench/feed-writes.mjs [days] [kind: run-seconds | running | voltage | meter-hours] [folder of the built files].
// Bytes written are those that SQLite hands to the system in write calls (wchar of /proc/self/io): log and database, every fsync's share,
// whatever the file system. The kernel's own write_bytes is printed beside it; it is 0 where the folder lies in memory.
import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import Database from 'better-sqlite3';
import { householdWith } from './feed-household.mjs';
import { figure } from './figure.mjs';

const days = Number(process.argv[2] ?? 7);
const kind = process.argv[3] ?? 'run-seconds';
const built = process.argv[4] ?? process.env.SHEDBELL_BUILT ?? new URL('../../dist/', import.meta.url).href;
const base = built.startsWith('file:') ? built : `${pathToFileURL(built).href}/`;
const load = (file) => import(`${base}${file}`);
const { watchFeeds } = await load('feed/watch.js');
const { parseFeedState } = await load('feed/state.js');
const { feedHand } = await load('ledger/feed-hand.js');
const { openStore } = await load('store/open.js');

const reportMs = 10_000;
const dayMs = 86_400_000;
const startMs = Date.UTC(2031, 5, 1);
const common = { topic: 'yard/mower/run', scale: 1, offset: 0, silentAfterMinutes: 15 };
const feeds = {
  'run-seconds': common,
  running: { ...common, yes: ['1'], no: ['0'] },
  voltage: { ...common, aboveVolts: 13.2, belowVolts: 12.9, holdSeconds: 60 },
  'meter-hours': common,
};
const home = householdWith({ kind, ...feeds[kind] });

const folder = mkdtempSync(join(tmpdir(), 'shedbell-writes-'));
const file = join(folder, 'shedbell.sqlite');
const store = openStore(file);
let nowMs = startMs;
const clock = { nowMs: () => nowMs };
const quiet = () => undefined;
let say = quiet;
const refused = [];
const watch = watchFeeds({
  broker: {
    onConnect: () => quiet,
    subscribe(_topic, handler) {
      say = (text) => handler(common.topic, Buffer.from(text), { retain: false, dup: false, qos: 1 });
      return quiet;
    },
  },
  home,
  clock,
  monotonicMs: () => nowMs - startMs,
  boot: 'one',
  notBeforeMs: 0,
  log: { error: quiet, warn: (fields) => refused.push(fields), info: quiet, debug: quiet },
  hand: feedHand({ store, home: () => home, clock }, parseFeedState),
});

/** Bytes so far, by the system's own count for this process. */
function written() {
  const text = readFileSync('/proc/self/io', 'utf8');
  const of = (name) => Number(new RegExp(`^${name}: (\\d+)$`, 'm').exec(text)?.[1]);
  return { calls: of('wchar'), disk: of('write_bytes') };
}

const insert = rowInserter(join(folder, 'rows.sqlite'));
let ran = 0;
/** Days of messages, each given to `hear`. */
function live(count, hear, look) {
  for (let i = 0; i < (count * dayMs) / reportMs; i += 1) {
    nowMs += reportMs;
    // Two stretches of an hour, in the morning and in the evening.
    const hour = ((nowMs - startMs) % dayMs) / 3_600_000;
    const isRunning = (hour > 9 && hour <= 10) || (hour > 17 && hour <= 18);
    if (isRunning) ran += reportMs / 1000;
    hear(payload(isRunning));
    if (i % 6 === 0) look();
  }
}

function payload(isRunning) {
  if (kind === 'run-seconds') return String(1_000_000 + ran);
  if (kind === 'running') return isRunning ? '1' : '0';
  if (kind === 'voltage') return isRunning ? '14.1' : '12.6';
  return (200 + Math.floor(ran / 360) / 10).toFixed(1);
}

/** One row and one commit for each message, under the settings of our own store. */
function rowInserter(of) {
  const db = new Database(of);
  db.pragma('journal_mode = WAL');
  db.pragma('synchronous = FULL');
  db.exec('CREATE TABLE messages (id INTEGER PRIMARY KEY, at_ms INTEGER, topic TEXT, payload TEXT)');
  const row = db.prepare('INSERT INTO messages (at_ms, topic, payload) VALUES (?, ?, ?)');
  return { hear: (text) => row.run(nowMs, common.topic, text), close: () => db.close() };
}

// The first day makes the tables' first pages; then all is emptied into the database, so that whole days are compared.
const ours = (count) =>
  live(
    count,
    (text) => say(text),
    () => watch.look(),
  );
ours(1);
const sizeNow = () => {
  store.sql.rows('PRAGMA wal_checkpoint(TRUNCATE)');
  return statSync(file).size;
};
const sizeBefore = sizeNow();
const before = written();
ours(days);
const sizeAfter = sizeNow();
const after = written();
watch.close();
const lived = { ran, nowMs };
live(days, insert.hear, quiet);
const rowsAfter = written();
insert.close();
const rowsSize = statSync(join(folder, 'rows.sqlite')).size;
ran = lived.ran;
nowMs = lived.nowMs;
const total = store.sql.row('SELECT run_seconds FROM feed_totals')?.run_seconds;
const rows = (table) => store.sql.row(`SELECT count(*) AS n FROM ${table}`)?.n;
const figures = {
  kind,
  days,
  countedHours: total / 3600,
  ranHours: ran / 3600,
  refused: refused.length,
  growthBytesPerDay: Math.round((sizeAfter - sizeBefore) / days),
  writtenBytesPerDay: Math.round((after.calls - before.calls) / days),
  inserterBytesPerDay: Math.round((rowsAfter.calls - after.calls) / days),
  shareOfInserter: Number(((after.calls - before.calls) / (rowsAfter.calls - after.calls)).toFixed(3)),
  diskBytesPerDay: Math.round((after.disk - before.disk) / days),
  runs: rows('runs'),
  coverage: rows('coverage'),
  readings: rows('readings'),
};
store.close();
rmSync(folder, { recursive: true, force: true });
console.log(JSON.stringify(figures));
// Little written counts only where nothing was lost.
if (refused.length > 0 || Math.abs(total - ran) > reportMs / 1000)
  throw new Error(`${refused.length} messages refused, ${total} s counted of ${ran} s`);
figure(
  'feed: bytes written a day to one row and commit each',
  [(after.calls - before.calls) / (rowsAfter.calls - after.calls)],
  { most: 0.1 },
);
figure('feed: growth of the database to one row each', [(sizeAfter - sizeBefore) / rowsSize], { most: 0.02 });
