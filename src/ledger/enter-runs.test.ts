import fc from 'fast-check';
import { expect, it } from 'vitest';
import { factsAbout, mower, stageBooks } from '../../tests/stage/ledger-books.js';
import { enterRuns } from './enter-runs.js';
import { feedHand } from './feed-hand.js';

const span = (fromMs: number, toMs: number) => ({ fromMs, toMs });

it('a run that grows stays one row', () => {
  const books = stageBooks();
  for (let toMs = 2_000; toMs <= 60_000; toMs += 1_000) {
    enterRuns(books, mower.id, { runs: [span(1_000, toMs)], coverage: [span(0, toMs)] });
  }
  expect(factsAbout(books)).toMatchObject({ runs: [span(1_000, 60_000)], coverage: [span(0, 60_000)] });
});

it('the same twice changes nothing; not even the version', () => {
  const books = stageBooks();
  const told = {
    runs: [span(1_000, 9_000)],
    coverage: [span(0, 10_000)],
    total: { runSeconds: 8, lastAtMs: 9_000 },
    memory: '{}',
  };
  enterRuns(books, mower.id, told);
  const version = books.store.dataVersion();
  enterRuns(books, mower.id, told);
  enterRuns(books, mower.id, { runs: [span(2_000, 3_000)], total: { runSeconds: 5, lastAtMs: 4_000 } });
  expect(books.store.dataVersion()).toBe(version);
  expect(factsAbout(books).feedTotal).toEqual({ runSeconds: 8, lastAtMs: 9_000 });
});

it('an empty span is nothing, an upside-down one a fault that leaves the rest out', () => {
  const books = stageBooks();
  enterRuns(books, mower.id, { runs: [span(5, 5)] });
  expect(() => enterRuns(books, mower.id, { runs: [span(1, 2)], coverage: [span(9, 8)] })).toThrow(
    expect.objectContaining({ code: 'span-unreadable' }),
  );
  expect(() => enterRuns(books, mower.id, { runs: [span(1, Number.NaN)] })).toThrow();
  expect(() =>
    enterRuns(books, mower.id, { runs: [span(1, 2)], total: { runSeconds: Number.NaN, lastAtMs: null } }),
  ).toThrow(expect.objectContaining({ code: 'total-unreadable' }));
  expect(factsAbout(books)).toMatchObject({ runs: [], coverage: [], feedTotal: null });
});

it('whatever spans come in whatever order, what is kept is their union', () => {
  const books = stageBooks();
  let machine = 0;
  const places = fc
    .tuple(fc.nat(60), fc.integer({ min: 1, max: 12 }))
    .map(([from, length]) => span(from, from + length));
  fc.assert(
    fc.property(fc.array(places, { minLength: 1, maxLength: 15 }), (spans) => {
      machine += 1;
      const id = `m${machine}`;
      for (const one of spans) enterRuns(books, id, { runs: [one] });
      const kept = books.store.sql.rows('SELECT from_ms, to_ms FROM runs WHERE machine = :id ORDER BY from_ms', { id });
      const covers = (ms: number) => kept.some((r) => Number(r.from_ms) <= ms && ms < Number(r.to_ms));
      for (let ms = 0; ms < 80; ms += 1) {
        expect(covers(ms)).toBe(spans.some((s) => s.fromMs <= ms && ms < s.toMs));
      }
      for (const [index, row] of kept.entries()) {
        const before = kept[index - 1];
        if (before !== undefined) expect(Number(row.from_ms)).toBeGreaterThan(Number(before.to_ms));
      }
    }),
    { numRuns: 60 },
  );
});

it('a feed finds its state again after a restart, with all that it had told', () => {
  const books = stageBooks();
  const parse = (text: string): { readonly count: number } | null => JSON.parse(text);
  expect(feedHand(books, parse).load(mower.id)).toBeNull();
  const nowMs = books.clock.nowMs();
  feedHand(books, parse).keep(mower.id, {
    isInterim: false,
    state: { count: 7 },
    runs: [span(nowMs - 7_000, nowMs)],
    coverage: [span(nowMs - 9_000, nowMs)],
    totalSeconds: 7,
    lastAtMs: nowMs,
    reading: { hours: 150, atMs: nowMs },
  });
  books.reopen();
  expect(feedHand(books, parse).load(mower.id)).toEqual({ count: 7 });
  expect(factsAbout(books)).toMatchObject({
    feedTotal: { runSeconds: 7, lastAtMs: nowMs },
    readings: [{ hours: 150, door: 'feed' }],
  });
});

it('a feed finds its last refusals again, and a sensor that went is away until it is heard', () => {
  const books = stageBooks();
  const hand = feedHand(books, (text): string => text);
  const nowMs = books.clock.nowMs();
  const tell = (isAway: boolean) =>
    hand.keep(mower.id, {
      isInterim: false,
      state: String(isAway),
      runs: [],
      coverage: [],
      totalSeconds: 7,
      lastAtMs: nowMs,
      isAway,
    });
  const isAway = () => factsAbout(books).feedTotal?.isAway === true;
  expect(hand.refusals(mower.id)).toBeNull();
  hand.keepRefusals(mower.id, 'one');
  hand.keepRefusals(mower.id, 'two');
  tell(true);
  books.reopen();
  expect(feedHand(books, (text): string => text).refusals(mower.id)).toBe('two');
  expect(isAway()).toBe(true);
  feedHand(books, (text): string => text).keep(mower.id, {
    isInterim: false,
    state: 'back',
    runs: [],
    coverage: [],
    totalSeconds: 7,
    lastAtMs: nowMs,
    isAway: false,
  });
  expect(isAway()).toBe(false);
});

it('a count kept in between is there after a crash, and the facts count as changed only once its run is entered', () => {
  const books = stageBooks();
  const parse = (text: string): { readonly count: number } | null => JSON.parse(text);
  const nowMs = books.clock.nowMs();
  const before = books.store.dataVersion();
  for (const count of [7, 8]) {
    feedHand(books, parse).keep(mower.id, {
      isInterim: true,
      state: { count },
      runs: [],
      coverage: [],
      totalSeconds: count,
      lastAtMs: nowMs,
    });
  }
  expect(books.store.dataVersion()).toBe(before);
  books.reopen();
  expect(feedHand(books, parse).load(mower.id)).toEqual({ count: 8 });
  expect(factsAbout(books).feedTotal).toEqual({ runSeconds: 8, lastAtMs: nowMs });
  const reopened = books.store.dataVersion();
  feedHand(books, parse).keep(mower.id, {
    isInterim: false,
    state: { count: 9 },
    runs: [span(nowMs - 9_000, nowMs)],
    coverage: [],
    totalSeconds: 9,
    lastAtMs: nowMs,
  });
  expect(books.store.dataVersion()).toBeGreaterThan(reopened);
});

it('a sensor’s impossible reading is told and counts nothing, a questionable one is asked about once', () => {
  const books = stageBooks();
  const refused: string[] = [];
  const hand = feedHand(books, JSON.parse, (machine, fault) => refused.push(`${machine} ${fault.code}`));
  const keep = (hours: number, minute: number) => {
    books.setNow(`2031-04-05T10:0${minute}`);
    const nowMs = books.clock.nowMs();
    hand.keep(mower.id, {
      isInterim: false,
      state: { minute },
      runs: [],
      coverage: [],
      totalSeconds: minute,
      lastAtMs: nowMs,
      reading: { hours, atMs: nowMs },
    });
  };
  keep(12, 1);
  expect(refused).toEqual([`${mower.id} reading-below-last`]);
  keep(1625, 2);
  keep(1625.1, 3);
  keep(1625.2, 4);
  expect(factsAbout(books)).toMatchObject({ readings: [], aside: [{ hours: 1625 }], feedTotal: { runSeconds: 4 } });
});
