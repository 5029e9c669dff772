// What a feed costs a memory card: a machine that reports every 10 s and runs 2 hours a day, for simulated days, on a real SQLite file.
// Run after a build: node tests/bench/feed-writes.mjs [days] [kind: run-seconds | running | voltage | meter-hours] [folder of the built files].
// Bytes written are those that SQLite hands to the system in write calls (wchar of /proc/self/io): log and database, every fsync's share,
// whatever the file system. The kernel's own write_bytes is printed beside it; it is 0 where the folder lies in memory.
import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { householdWith } from './feed-household.mjs';

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
    subscribe(_topic, handler) {
      say = (text) => handler(common.topic, Buffer.from(text), { retain: false, dup: false });
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

let ran = 0;
function live(count) {
  for (let i = 0; i < (count * dayMs) / reportMs; i += 1) {
    nowMs += reportMs;
    // Two stretches of an hour, in the morning and in the evening.
    const hour = ((nowMs - startMs) % dayMs) / 3_600_000;
    const isRunning = (hour > 9 && hour <= 10) || (hour > 17 && hour <= 18);
    if (isRunning) ran += reportMs / 1000;
    if (kind === 'run-seconds') say(String(1_000_000 + ran));
    else if (kind === 'running') say(isRunning ? '1' : '0');
    else if (kind === 'voltage') say(isRunning ? '14.1' : '12.6');
    else say((200 + Math.floor(ran / 360) / 10).toFixed(1));
    if (i % 6 === 0) watch.look();
  }
}

// The first day makes the tables' first pages; then all is emptied into the database, so that whole days are compared.
live(1);
const sizeNow = () => {
  store.sql.rows('PRAGMA wal_checkpoint(TRUNCATE)');
  return statSync(file).size;
};
const sizeBefore = sizeNow();
const before = written();
live(days);
const sizeAfter = sizeNow();
const after = written();
watch.close();
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
  diskBytesPerDay: Math.round((after.disk - before.disk) / days),
  runs: rows('runs'),
  coverage: rows('coverage'),
  readings: rows('readings'),
};
store.close();
rmSync(folder, { recursive: true, force: true });
console.log(JSON.stringify(figures));
