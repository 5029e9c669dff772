import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  factsAbout,
  mower,
  type StagedBooks,
  stageBooks,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { dayMs, dayOf } from '../domain/day.js';
import { digitsOf, mostMinor } from '../domain/money.js';
import { spendingByYear } from '../domain/spending.js';
import { enterAnswer } from './answer.js';
import { confirmVisit } from './confirm-visit.js';
import { confirmAside, dropAside, enterReading } from './enter-reading.js';
import { allLetters } from './outbox.js';
import { postLetters } from './post.js';
import { sayPaid, voidPaid } from './say-paid.js';
import { setStock } from './stock.js';
import { voidReading } from './void-reading.js';
import { voidRecord } from './void-record.js';

const taskIds = mower.tasks.map((task) => task.id);
const someTasks = fc.subarray(taskIds, { minLength: 1 });
const visitNumbers = fc.integer({ min: 1, max: 3 });
const keys = fc.constantFrom(null, 'form-1', 'form-2');
const hoursSeen = fc.oneof(
  fc.integer({ min: 110, max: 260 }),
  fc.constantFrom(1625, 14.2, 0, -3, 1e9, Number.NaN, Number.POSITIVE_INFINITY),
);

/** What was paid: smallest units, of one of three currencies with 2, 0 and 3 digits behind the point (ISO 4217). */
interface Said {
  readonly minor: number;
  readonly currency: 'EUR' | 'JPY' | 'KWD';
  readonly what: string | null;
}
const amounts: fc.Arbitrary<Said> = fc.record({
  minor: fc.oneof(fc.nat(50_000), fc.constantFrom(0, mostMinor)),
  currency: fc.constantFrom('EUR' as const, 'JPY' as const, 'KWD' as const),
  what: fc.constantFrom(null, 'oil and filter', '  '),
});
const saidOf = ({ minor, currency, what }: Said) => ({ money: { minor, currency, digits: digitsOf(currency) }, what });

type Move =
  | { kind: 'reading'; hours: number; daysAgo: number; confirm: boolean; key: string | null }
  | {
      kind: 'confirm';
      visit: number;
      held: string[];
      ticked: string[] | null;
      hours: number | null;
      daysAgo: number;
      paid: Said | null;
      key: string | null;
    }
  | { kind: 'void-record' | 'void-reading' | 'confirm-aside' | 'drop-aside'; number: number }
  | { kind: 'pay'; number: number; paid: Said | null; key: string | null }
  | { kind: 'void-paid'; number: number }
  | { kind: 'post'; visit: number; held: string[] }
  | { kind: 'leave-out'; tasks: string[] }
  | { kind: 'stock'; name: string; amount: number }
  | { kind: 'days'; days: number }
  | { kind: 'restart' };

const move: fc.Arbitrary<Move> = fc.oneof(
  fc.record({
    kind: fc.constant('reading' as const),
    hours: hoursSeen,
    daysAgo: fc.nat(40),
    confirm: fc.boolean(),
    key: keys,
  }),
  fc.record({
    kind: fc.constant('confirm' as const),
    visit: visitNumbers,
    held: someTasks,
    ticked: fc.option(someTasks),
    hours: fc.option(hoursSeen),
    daysAgo: fc.nat(20),
    paid: fc.option(amounts),
    key: keys.map((key) => (key === null ? null : `confirm-${key}`)),
  }),
  fc.record({
    kind: fc.constantFrom(
      'void-record' as const,
      'void-reading' as const,
      'confirm-aside' as const,
      'drop-aside' as const,
    ),
    number: fc.integer({ min: 1, max: 6 }),
  }),
  fc.record({
    kind: fc.constant('pay' as const),
    number: fc.integer({ min: 1, max: 6 }),
    paid: fc.option(amounts, { freq: 3 }),
    key: keys.map((key) => (key === null ? null : `pay-${key}`)),
  }),
  fc.record({ kind: fc.constant('void-paid' as const), number: fc.integer({ min: 1, max: 6 }) }),
  fc.record({ kind: fc.constant('post' as const), visit: visitNumbers, held: someTasks }),
  fc.record({ kind: fc.constant('leave-out' as const), tasks: someTasks }),
  fc.record({
    kind: fc.constant('stock' as const),
    name: fc.constantFrom('oil filter', 'Engine oil', 'air filter'),
    amount: fc.nat(4),
  }),
  fc.record({ kind: fc.constant('days' as const), days: fc.integer({ min: 1, max: 30 }) }),
  fc.constant({ kind: 'restart' as const }),
);

function make(books: StagedBooks, one: Move): unknown {
  const nowMs = books.clock.nowMs();
  const today = dayOf(nowMs, books.home().household.zone);
  switch (one.kind) {
    case 'reading':
      return enterReading(books, {
        ...one,
        machine: mower.id,
        atMs: nowMs - one.daysAgo * dayMs,
        by: null,
        door: 'page',
      });
    case 'confirm':
      return confirmVisit(books, {
        visit: { id: `visit-${one.visit}`, machine: mower.id, tasks: one.held },
        tasks: one.ticked,
        day: dayOf(nowMs - one.daysAgo * dayMs, books.home().household.zone),
        hours: one.hours,
        confirm: true,
        by: null,
        door: 'link',
        note: null,
        minutes: null,
        findings: [],
        paid: one.paid === null ? null : saidOf(one.paid),
        key: one.key,
      });
    case 'void-record':
      return voidRecord(books, `record-${one.number}`, null);
    case 'pay':
      return sayPaid(books, `record-${one.number}`, one.paid === null ? null : saidOf(one.paid), null, one.key);
    case 'void-paid':
      return voidPaid(books, `paid-${one.number}`, null);
    case 'void-reading':
      return voidReading(books, `reading-${one.number}`, null);
    case 'confirm-aside':
      return confirmAside(books, `aside-${one.number}`, null);
    case 'drop-aside':
      return dropAside(books, `aside-${one.number}`, null);
    case 'post': {
      const visit = stageVisit(`visit-${one.visit}`, one.held, today);
      return postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
    }
    case 'leave-out':
      return enterAnswer(
        books,
        mower.id,
        { kind: 'leave-out', tasks: one.tasks, day: today, hours: null, atMs: nowMs },
        null,
      );
    case 'stock':
      return setStock(books, { machine: mower.id, name: one.name, amount: one.amount, by: null, key: null });
    case 'days':
      return books.setNow(new Date(nowMs + one.days * dayMs).toISOString());
    case 'restart':
      return books.reopen();
  }
}

/** What meters round: one that shows whole hours may step by an hour, one with tenths by a tenth at each end. A reading taken back
 *  leaves what it rounded to the readings about it.
 *  @param takenBack how many entries were taken back so far */
function rounding(before: { hours: number }, after: { hours: number }, takenBack: number): number {
  const isWhole = Number.isInteger(before.hours) && Number.isInteger(after.hours);
  return (isWhole ? 1 : 0.2) + takenBack;
}

function keepsItsPromises(books: StagedBooks, takenBack: number): void {
  const facts = factsAbout(books);
  for (const [index, reading] of facts.readings.entries()) {
    const before = facts.readings[index - 1];
    if (before === undefined) continue;
    expect(reading.atMs).toBeGreaterThanOrEqual(before.atMs);
    expect(reading.hours, 'hours never fall').toBeGreaterThanOrEqual(before.hours);
    expect(reading.hours - before.hours, 'a day has 24 hours').toBeLessThanOrEqual(
      (24 * (reading.atMs - before.atMs)) / dayMs + rounding(before, reading, takenBack) + 1e-9,
    );
  }
  const once = facts.records.flatMap((r) => r.tasks.map((task) => `${r.visit} ${task}`));
  expect(new Set(once).size, 'each task of a visit is recorded once').toBe(once.length);
  for (const record of facts.records) expect(record.tasks.length).toBeGreaterThan(0);
  for (const amount of Object.values(facts.stock)) expect(amount).toBeGreaterThanOrEqual(0);
  for (const visit of facts.visits) {
    const recorded = facts.records.filter((r) => r.visit === visit.id).flatMap((r) => r.tasks);
    if (visit.tasks.every((task) => recorded.includes(task))) expect(visit.state).toBe('done');
    if (visit.state === 'done') expect(facts.records.length).toBeGreaterThan(0);
  }
  const amounts = facts.records.flatMap(({ paid }) => (paid === undefined ? [] : [paid]));
  expect(new Set(amounts.map(({ id }) => id)).size, 'an amount is of one record').toBe(amounts.length);
  const sum = (minors: readonly number[]) => minors.reduce((total, minor) => total + minor, 0);
  for (const currency of ['EUR', 'JPY', 'KWD']) {
    const years = spendingByYear(facts.records).filter(({ total }) => total.currency === currency);
    const own = amounts.filter(({ money }) => money.currency === currency);
    expect(sum(years.map(({ total }) => total.minor)), 'each amount is in one sum').toBe(
      sum(own.map(({ money }) => money.minor)),
    );
    expect(sum(years.map(({ visits }) => visits))).toBe(own.length);
  }
  const messages = new Set(allLetters(books).map((letter) => letter.id));
  for (const notice of facts.sent) expect(messages).toContain(notice.message);
  const said = facts.sent.map((n) => [n.visit, n.kind, n.proposedDay, n.to].join(' '));
  expect(new Set(said).size, 'nothing is said twice').toBe(said.length);
}

it('any sequence of entries, confirmations, undos and restarts keeps the promises of the books', () => {
  fc.assert(
    fc.property(fc.array(move, { minLength: 3, maxLength: 22 }), (moves) => {
      const books = stageBooks();
      let takenBack = 0;
      for (const one of moves) {
        const before = books.store.dataVersion();
        const picture = JSON.stringify({ ...factsAbout(books) });
        make(books, one);
        if (one.kind === 'void-reading' || one.kind === 'void-record') takenBack += 1;
        keepsItsPromises(books, takenBack);
        if (JSON.stringify({ ...factsAbout(books) }) !== picture) {
          expect(books.store.dataVersion(), 'a change of facts is a new version').toBeGreaterThan(before);
        }
        if (one.kind === 'restart' || one.kind === 'days') {
          expect(JSON.stringify({ ...factsAbout(books) })).toBe(picture);
        }
      }
    }),
    { numRuns: 60 },
  );
});

it('what stands as paid for a record is what was said of it last, through any entries, undos and restarts', () => {
  fc.assert(
    fc.property(fc.array(move, { minLength: 3, maxLength: 22 }), (moves) => {
      const books = stageBooks();
      /** By record: what was said last, in the words of the move. */
      const model = new Map<string, Said>();
      const keysUsed = new Set<string>();
      /** By key of a confirmation: the record that it stands for. */
      const recordUnder = new Map<string, string>();
      for (const one of moves) {
        const before = factsAbout(books).records;
        const answer = make(books, one) as { readonly kind?: string; readonly record?: { readonly id: string } };
        const standing = new Set(factsAbout(books).records.map(({ id }) => id));
        if (one.kind === 'pay' && answer.kind !== 'refused') {
          if (one.key === null || !keysUsed.has(one.key)) {
            if (one.paid === null) model.delete(`record-${one.number}`);
            else model.set(`record-${one.number}`, one.paid);
          }
          if (one.key !== null) keysUsed.add(one.key);
        }
        if (one.kind === 'confirm' && answer.record !== undefined) {
          // The same form sent once more tells nothing new; one whose record was taken back, or that comes with other work, does.
          const under = before.find(({ id }) => one.key !== null && id === recordUnder.get(one.key));
          const isSameForm =
            under?.visit === `visit-${one.visit}` && (one.ticked ?? one.held).every((id) => under.tasks.includes(id));
          if (one.paid !== null && !isSameForm) model.set(answer.record.id, one.paid);
          const isNoted = answer.kind === 'recorded' || (one.paid !== null && !isSameForm);
          if (one.key !== null && isNoted) recordUnder.set(one.key, answer.record.id);
        }
        if (one.kind === 'void-paid' && answer.kind === 'voided') {
          const left = new Set(factsAbout(books).records.flatMap(({ id, paid }) => (paid === undefined ? [] : [id])));
          const gone = [...model.keys()].filter((id) => !left.has(id));
          expect(gone.length, 'one amount goes').toBe(1);
          for (const id of gone) model.delete(id);
        }
        for (const id of [...model.keys()]) if (!standing.has(id)) model.delete(id);
        const stands = factsAbout(books).records.flatMap(({ id, paid }) =>
          paid === undefined ? [] : [[id, paid.money.minor, paid.money.currency, paid.what]],
        );
        const said = [...model].map(([id, { minor, currency, what }]) => [id, minor, currency, what?.trim() || null]);
        expect(new Set(stands.map(String)), one.kind).toEqual(new Set(said.map(String)));
      }
    }),
    { numRuns: 60 },
  );
});

it('the same entry made again at once changes nothing', () => {
  fc.assert(
    fc.property(fc.array(move, { minLength: 1, maxLength: 10 }), move, (moves, last) => {
      fc.pre(last.kind !== 'days' && last.kind !== 'restart');
      const books = stageBooks();
      for (const one of moves) make(books, one);
      make(books, last);
      const facts = JSON.stringify(factsAbout(books));
      make(books, last);
      expect(JSON.stringify(factsAbout(books))).toBe(facts);
    }),
    { numRuns: 60 },
  );
});

it('a meter that shows whole hours may step by an hour more than the clock, and by no more', () => {
  const books = stageBooks();
  expect(make(books, { kind: 'reading', hours: 136, daysAgo: 23, confirm: false, key: null })).toMatchObject({
    kind: 'counted',
  });
  const confirmed = (hours: number) =>
    make(books, {
      kind: 'confirm',
      visit: 1,
      held: ['air-filter'],
      ticked: null,
      hours,
      daysAgo: 20,
      paid: null,
      key: null,
    });
  // Three days and nine hours, and one hour that both ends round.
  expect(confirmed(219)).toMatchObject({ kind: 'refused', fault: { code: 'reading-too-fast' } });
  expect(confirmed(218)).toMatchObject({ kind: 'recorded' });
});
