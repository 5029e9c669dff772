import { afterEach, expect, test } from 'vitest';
import { smtpChannel } from '../../src/channels/mail.js';
import { deliver } from '../../src/daemon/deliver.js';
import { hourMs, minuteMs, parseInstant } from '../../src/domain/day.js';
import { allLetters, lettersInTrouble } from '../../src/ledger/outbox.js';
import { postLetters } from '../../src/ledger/post.js';
import {
  bookZone,
  stageBooks,
  stagedHome,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../stage/ledger-books.js';
import { findClosedPort, type Misbehaviour, startBrokenServer, startMailServer } from '../stage/mail-server.js';
import { noLog } from '../stage/no-log.js';

const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of open.splice(0)) await close();
});

const limits = { connectMs: 2000, greetingMs: 2000, silenceMs: 2000, wholeMs: 10_000, trustedPem: null };
const start = parseInstant('2031-04-05T10:00', bookZone);

/** Books with three letters to one person, and a clock that runs as the test says. */
function stage() {
  const [first] = stagedHome.household.people;
  if (first === undefined) throw new Error('the stage has nobody');
  const smtp = { host: '127.0.0.1', port: 25, security: 'plain', from: 'shed@example.org' } as const;
  const people = [{ ...first, mail: 'one@example.org' }];
  const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, people } } });
  const visits = ['engine-oil', 'blades', 'air-filter'].map((task) => stageVisit(`meadow-mower-${task}-1`, [task]));
  const letters = visits.map((visit) => stageLetter(stageNotice(visit, { to: first.id })));
  postLetters(books, stageOutlook(books, visits), letters);
  let nowMs = start;
  /** Wakes the delivery every ten minutes for some hours, as the ticker would, at a server on this port. */
  const run = async (hours: number, port: () => Promise<number> | number) => {
    const end = nowMs + hours * hourMs;
    while (nowMs < end) {
      books.setNow(new Date(nowMs).toISOString());
      const channel = smtpChannel({ ...smtp, port: await port() }, { name: 'Stage' }, noLog, limits);
      await deliver(books, [channel], noLog);
      nowMs += 10 * minuteMs;
    }
  };
  return { books, run };
}

async function serverThat(misbehave: Misbehaviour = {}) {
  const server = await startMailServer({ security: 'plain', login: null, misbehave });
  open.push(server.close);
  return server;
}

test('the mail server is down for three days: nothing is lost, each letter comes once, and the tries grow rare', async () => {
  const { books, run } = stage();
  const closed = await findClosedPort();
  await run(72, () => closed);
  const tries = allLetters(books).map((letter) => letter.attempts);
  expect(Math.min(...tries)).toBeGreaterThan(4);
  expect(Math.max(...tries)).toBeLessThan(15);
  expect(lettersInTrouble(books, 0)).toHaveLength(3);
  const server = await serverThat();
  await run(25, () => server.port);
  const ids = server.arrived.map(({ mail }) => mail.messageId);
  expect(ids).toEqual(allLetters(books).map((letter) => letter.messageId));
  expect(allLetters(books).map((letter) => letter.state)).toEqual(['delivered', 'delivered', 'delivered']);
});

test('a day of 4xx at every step: nothing is lost, nothing comes twice', async () => {
  const { books, run } = stage();
  const storms = [
    await serverThat({ sender: 451 }),
    await serverThat({ recipient: 450 }),
    await serverThat({ data: 452 }),
  ];
  let turn = 0;
  await run(24, () => storms[turn++ % storms.length]?.port ?? 0);
  expect(storms.flatMap(({ arrived }) => arrived)).toEqual([]);
  const server = await serverThat();
  await run(25, () => server.port);
  expect(server.arrived.map(({ mail }) => mail.messageId)).toEqual(allLetters(books).map((letter) => letter.messageId));
});

test('a 5xx is final: it is tried once, and the page says what the server said', async () => {
  const { books, run } = stage();
  const server = await serverThat({ recipient: 550 });
  await run(48, () => server.port);
  const letters = allLetters(books);
  expect(letters.map(({ state, attempts }) => [state, attempts])).toEqual([1, 2, 3].map(() => ['refused', 1]));
  for (const letter of letters) expect(letter.lastWord).toContain('550');
});

test('a server that takes a letter and then drops the line gets it again under the same Message-ID', async () => {
  const { books, run } = stage();
  const dropper = await startBrokenServer('hangs-up-after-data');
  open.push(dropper.close);
  await run(10 / 60, () => dropper.port);
  expect(dropper.letters()).toBe(3);
  const server = await serverThat();
  await run(2, () => server.port);
  expect(server.arrived.map(({ mail }) => mail.messageId)).toEqual(allLetters(books).map((letter) => letter.messageId));
});
