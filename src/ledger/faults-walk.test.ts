import { expect, it } from 'vitest';
import {
  mower,
  type StagedBooks,
  stageBooks,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { parseDay } from '../domain/day.js';
import { confirmVisit } from './confirm-visit.js';
import { gather } from './gather.js';
import { importRows } from './import-rows.js';
import { allLetters, noteSending } from './outbox.js';
import { postLetters } from './post.js';
import { setStock } from './stock.js';
import { voidRecord } from './void-record.js';

const visit = stageVisit('meadow-mower-engine-oil-1', ['engine-oil', 'blades']);

const post = (books: StagedBooks) =>
  postLetters(books, stageOutlook(books, [visit]), [
    stageLetter(stageNotice(visit), stageNotice(visit, { kind: 'parts' })),
    stageLetter(stageNotice(visit, { to: 'tomas' })),
  ]);
const confirm = (books: StagedBooks) =>
  confirmVisit(books, {
    visit,
    tasks: null,
    day: parseDay('2031-04-05'),
    hours: 160,
    by: 'ines',
    door: 'link',
    note: 'done',
    minutes: 45,
    findings: [
      { task: 'engine-oil', measurement: 'gap', place: null, found: '0.13 mm', left: null, verdict: null, note: null },
    ],
    key: 'form-1',
  });

/** What an outsider can see of the books: everything but version and outbox marks. */
const picture = (books: StagedBooks) => {
  const { machines, householdSent } = gather(books);
  return JSON.stringify({ machines, householdSent, letters: allLetters(books).map((l) => [l.id, l.state]) });
};

/** The n-th write fails, for n from the first until a run is untouched. After each failure nothing of the entry is there,
 *  also after a restart, and the entry made again is whole. */
function walk(entry: (books: StagedBooks) => unknown, before: (books: StagedBooks) => void = () => {}): number {
  for (let failing = 1; ; failing += 1) {
    let countdown = Number.POSITIVE_INFINITY;
    const books = stageBooks({
      beforeRun: () => {
        countdown -= 1;
        if (countdown === 0) throw Object.assign(new Error('no space left on device'), { code: 'SQLITE_FULL' });
      },
    });
    before(books);
    const untouched = picture(books);
    countdown = failing;
    let failed = false;
    try {
      entry(books);
    } catch (fault) {
      failed = true;
      expect(fault).toMatchObject({ code: 'disk-full', retry: 'after-fix' });
    }
    if (!failed) return failing - 1;
    countdown = Number.POSITIVE_INFINITY;
    expect(picture(books), `write ${failing} failed`).toBe(untouched);
    books.reopen({});
    expect(picture(books), `write ${failing} failed, after a restart`).toBe(untouched);
    entry(books);
    const whole = stageBooks();
    before(whole);
    entry(whole);
    expect(picture(books), `made again after write ${failing} failed`).toBe(picture(whole));
  }
}

it('confirming a visit is all or nothing, whichever write fails', () => {
  const writes = walk(confirm, (books) => {
    post(books);
    for (const name of ['oil filter', 'engine oil']) {
      setStock(books, { machine: mower.id, name, amount: 3, by: null, key: null });
    }
  });
  // Reading, record, two tasks, finding, two moves of stock, key, ids and version.
  expect(writes).toBeGreaterThanOrEqual(9);
});

it('posting letters is all or nothing, whichever write fails', () => {
  expect(walk(post)).toBeGreaterThanOrEqual(8);
});

it('taking a record back is all or nothing, whichever write fails', () => {
  const writes = walk(
    (books) => voidRecord(books, 'record-1', 'ines'),
    (books) => {
      setStock(books, { machine: mower.id, name: 'oil filter', amount: 3, by: null, key: null });
      post(books);
      confirm(books);
    },
  );
  expect(writes).toBeGreaterThanOrEqual(3);
});

it('an import is all or nothing, whichever write fails', () => {
  const rows = [30, 75, 150].map((hours, index) => ({
    line: index + 2,
    at: `${2028 + index}-06-01`,
    hours,
    note: null,
  }));
  const writes = walk((books) =>
    importRows(books, {
      machine: mower.id,
      file: 'old.csv',
      readings: rows,
      records: [],
      by: null,
      dryRun: false,
      confirm: false,
    }),
  );
  expect(writes).toBeGreaterThanOrEqual(6);
});

it('marking a letter as being sent is all or nothing, so that it is never sent unmarked', () => {
  expect(walk((books) => noteSending(books, 'letter-1'), post)).toBe(1);
});
