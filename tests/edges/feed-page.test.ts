import { afterEach, expect, test } from 'vitest';
import { dayMs, hourMs } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import type { Feed } from '../../src/domain/machine.js';
import { enterReading } from '../../src/ledger/enter-reading.js';
import { enterRuns } from '../../src/ledger/enter-runs.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const id = 'paddock-mower';
const feed: Feed = { kind: 'run-seconds', topic: 'paddock/mower/run', scale: 1, offset: 0, silentAfterMinutes: 15 };
const withSensor = (home: Home): Home => ({
  ...home,
  machines: home.machines.map((machine) => (machine.id === id ? { ...machine, feed } : machine)),
});

const closers: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0)) await close();
});

async function open(): Promise<OpenPages> {
  const pages = await openPages({}, true, withSensor);
  closers.push(() => pages.close());
  return pages;
}

/** The sensor hears `days` days until `endDaysAgo`, an hour of running on each; the meter moves on by `meterHours` a day, read at both ends. */
function live(pages: OpenPages, days: number, endDaysAgo: number, meterHours: number): void {
  const { books } = pages;
  const nowMs = books.clock.nowMs();
  const endMs = nowMs - endDaysAgo * dayMs;
  const startMs = endMs - days * dayMs;
  const read = (atMs: number, hours: number) => {
    const entry = { machine: id, hours, atMs, by: null, door: 'command', confirm: true, key: null } as const;
    expect(enterReading(books, entry).kind).toBe('counted');
  };
  read(startMs, 100);
  enterRuns(books, id, {
    runs: Array.from({ length: days }, (_, i) => ({
      fromMs: startMs + i * dayMs + hourMs,
      toMs: startMs + i * dayMs + 2 * hourMs,
    })),
    coverage: [{ fromMs: startMs, toMs: endMs }],
    total: { runSeconds: days * 3600, lastAtMs: endMs },
  });
  read(endMs, 100 + Math.round(days * meterHours * 10) / 10);
}

const spread = (pages: OpenPages) => {
  const now = pages.outlook().machines.find((one) => one.machine === id)?.hoursNow;
  if (now === null || now === undefined) throw new Error('no hours');
  return now;
};

test('the page of a machine says what its sensor has counted and how that goes with the meter, with the doubt', async () => {
  const pages = await open();
  live(pages, 90, 0, 1 / 1.18);
  const { text } = await pages.get(`/machines/${id}`);
  const plain = text.replace(/<[^>]+>/g, '').replaceAll('\u00a0', ' ');
  expect(plain).toContain('Its sensor has counted 90 h.');
  const [, counts, low, high] =
    /The sensor counts ([\d.]+) h per meter hour \(([\d.]+) to ([\d.]+)\)\./.exec(plain)?.map(Number) ?? [];
  expect(counts).toBeCloseTo(1.18, 1);
  expect(low).toBeLessThan(1.18);
  expect(high).toBeGreaterThan(1.18);
  expect(plain).not.toContain('silent');
});

test('a sensor that says that it goes is said to be silent at once, and no longer once it is back', async () => {
  const pages = await open();
  live(pages, 30, 0, 1);
  const { books } = pages;
  const page = async () => (await pages.get(`/machines/${id}`)).text;
  const total = { runSeconds: 30 * 3600, lastAtMs: books.clock.nowMs() };
  enterRuns(books, id, { total, isAway: true });
  expect(await page()).toContain('The sensor has been silent since');
  enterRuns(books, id, { total, isAway: false });
  expect(await page()).not.toContain('The sensor has been silent');
});

test('a sensor that fell silent is said on the page, and the hours since then are estimated from the use before, never zero', async () => {
  const pages = await open();
  live(pages, 60, 30, 1);
  const silent = spread(pages);
  expect(silent.p50).toBeGreaterThan(160 + 10);
  expect(silent.p90 - silent.p10).toBeGreaterThan(5);
  const plain = (await pages.get(`/machines/${id}`)).text.replace(/<[^>]+>/g, '');
  expect(plain).toContain(
    'The sensor has been silent since Thursday 29 January, 10:00; hours since then are estimated.',
  );
});

test('a sensor that is alive and sees nothing run leaves the hours where they are', async () => {
  const pages = await open();
  live(pages, 60, 30, 1);
  const nowMs = pages.books.clock.nowMs();
  enterRuns(pages.books, id, {
    coverage: [{ fromMs: nowMs - 30 * dayMs, toMs: nowMs }],
    total: { runSeconds: 60 * 3600, lastAtMs: nowMs },
  });
  const now = spread(pages);
  expect(now.p90).toBeLessThan(161);
  expect((await pages.get(`/machines/${id}`)).text).not.toContain('silent');
});
