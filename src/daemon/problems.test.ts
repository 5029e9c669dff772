import { expect, it } from 'vitest';
import {
  mower,
  stageBooks,
  stagedHome,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { noLog } from '../../tests/stage/no-log.js';
import type { Channel } from '../channels/channel.js';
import type { Home } from '../domain/home.js';
import type { Delivery } from '../domain/results/envelope.js';
import { allLetters } from '../ledger/outbox.js';
import { postLetters } from '../ledger/post.js';
import { deliver } from './deliver.js';
import { bookProblems } from './problems.js';

const withMail: Home = {
  ...stagedHome,
  household: {
    ...stagedHome.household,
    people: [{ id: 'ines', name: 'Ines', mail: 'ines@alderlane.example' }],
    smtp: { host: 'mail.alderlane.example', port: 587, security: 'starttls', from: 'shed@alderlane.example' },
  },
};
const visit = stageVisit('meadow-mower-blades-1', ['blades']);
const answering = (kind: Channel['kind'], delivery: Delivery): Channel => ({ kind, deliver: async () => delivery });
const kept = answering('file', { kind: 'delivered', detail: 'kept' });

it('letters that wait for hours and letters refused for good are told of on the first page', async () => {
  const books = stageBooks({ home: withMail });
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  const away = answering('mail', { kind: 'try-later', reason: 'the server is away', afterMs: null });
  await deliver(books, [away, kept], noLog);
  expect(bookProblems(books, [])).toEqual([]);
  books.setNow('2031-04-05T17:00');
  await deliver(books, [away, kept], noLog);
  expect(bookProblems(books, [])).toMatchObject([expect.stringContaining('the server is away')]);
  books.setNow('2031-04-06T17:00');
  await deliver(books, [answering('mail', { kind: 'refused', reason: 'no such mailbox' })], noLog);
  expect(bookProblems(books, [])).toMatchObject([expect.stringContaining('no such mailbox')]);
  books.setNow('2031-06-06T17:00');
  expect(bookProblems(books, [])).toEqual([]);
});

it('a letter whose address was taken away since is kept as a file, not lost', async () => {
  let home = withMail;
  const staged = stageBooks();
  const books = { ...staged, store: staged.store, home: () => home };
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  home = { ...withMail, household: { ...withMail.household, people: [{ id: 'ines', name: 'Ines' }] } };
  await deliver(books, [answering('mail', { kind: 'refused', reason: 'no address' }), kept], noLog);
  expect(allLetters(books)).toMatchObject([{ state: 'delivered', lastWord: 'kept' }]);
});

it('a sensor that was never heard or fell silent for a month is told of, unless its machine rests', () => {
  const feed = { kind: 'run-seconds', topic: 'shed/mower', scale: 1, offset: 0, silentAfterMinutes: 15 } as const;
  const at = (machine: typeof mower) => stageBooks({ home: { ...stagedHome, machines: [{ ...machine, feed }] } });
  const [nothing] = stageOutlook(at(mower), []).machines;
  if (nothing === undefined) throw new Error('no machine');
  const heard = (lastAtMs: number) => [{ ...nothing, feed: { runSeconds: 60, lastAtMs } }];
  const books = at(mower);
  expect(bookProblems(books, [nothing])).toMatchObject([expect.stringContaining('not been heard yet')]);
  expect(bookProblems(books, heard(books.clock.nowMs() - 864e5))).toEqual([]);
  expect(bookProblems(books, heard(books.clock.nowMs() - 40 * 864e5))).toMatchObject([
    expect.stringContaining('last heard'),
  ]);
  expect(bookProblems(at({ ...mower, resting: { from: mower.since } }), [nothing])).toEqual([]);
});
