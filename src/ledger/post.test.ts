import { createECDH } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import {
  factsAbout,
  mower,
  stageBooks,
  stagedHome,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { parseDay } from '../domain/day.js';
import type { Person } from '../domain/household.js';
import { enterAnswer } from './answer.js';
import type { Books } from './books.js';
import { confirmVisit } from './confirm-visit.js';
import { gather } from './gather.js';
import { allLetters, noteAttempt, noteSending } from './outbox.js';
import { postLetters } from './post.js';
import { enterPushDevice } from './push-devices.js';
import { threadOf } from './thread.js';

const visit = stageVisit('meadow-mower-engine-oil-1', ['engine-oil', 'blades']);

it('a letter, its notices and the visit it announces are written together', () => {
  const books = stageBooks();
  const before = books.store.dataVersion();
  const letter = stageLetter(stageNotice(visit, { kind: 'parts' }), stageNotice(visit));
  expect(postLetters(books, stageOutlook(books, [visit]), [letter])).toEqual({ letters: ['letter-1'], skipped: 0 });
  expect(books.store.dataVersion()).toBeGreaterThan(before);
  books.reopen();
  expect(factsAbout(books)).toMatchObject({
    visits: [{ id: visit.id, tasks: visit.tasks, day: visit.day, revision: 1, state: 'open' }],
    sent: [
      { kind: 'parts', message: 'letter-1', to: 'ines', proposedDay: visit.day },
      { kind: 'work', message: 'letter-1' },
    ],
  });
  expect(allLetters(books)).toMatchObject([
    {
      id: 'letter-1',
      message: 'letter-1',
      to: 'ines',
      channel: 'file',
      state: 'pending',
      inReplyTo: null,
      references: [],
      reasons: ['the visit is tomorrow', 'the visit is tomorrow'],
    },
  ]);
});

it('the same turn taken twice posts nothing new', () => {
  const books = stageBooks();
  const post = () => postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  post();
  const version = books.store.dataVersion();
  expect(post()).toEqual({ letters: [], skipped: 1 });
  expect(books.store.dataVersion()).toBe(version);
  expect(allLetters(books)).toHaveLength(1);
});

it('of a message whose notices were partly said, only the new ones are noted', () => {
  const books = stageBooks();
  const outlook = stageOutlook(books, [visit]);
  postLetters(books, outlook, [stageLetter(stageNotice(visit))]);
  postLetters(books, outlook, [stageLetter(stageNotice(visit), stageNotice(visit, { kind: 'late' }))]);
  expect(factsAbout(books).sent.map((n) => n.kind)).toEqual(['work', 'late']);
});

it('another person, another kind and another proposed day are other notices', () => {
  const books = stageBooks();
  const outlook = stageOutlook(books, [visit]);
  const post = (more: Parameters<typeof stageNotice>[1]) =>
    postLetters(books, outlook, [stageLetter(stageNotice(visit, more))]).letters.length;
  expect([
    post({}),
    post({ to: 'tomas' }),
    post({ kind: 'late' }),
    post({ proposedDay: parseDay('2031-04-19') }),
  ]).toEqual([1, 1, 1, 1]);
});

it('a reading of one machine is asked of one person once a day', () => {
  const books = stageBooks();
  const question = stageNotice(visit, { kind: 'reading', visit: null, tasks: [], proposedDay: null });
  const ask = () => postLetters(books, stageOutlook(books, []), [stageLetter(question)]).letters.length;
  expect([ask(), ask()]).toEqual([1, 0]);
  books.setNow('2031-04-06T10:00');
  expect(ask()).toBe(1);
});

it('a notice about no machine stands with the household', () => {
  const books = stageBooks();
  const trouble = stageNotice(visit, { kind: 'trouble', visit: null, machine: null, tasks: [], proposedDay: null });
  postLetters(books, stageOutlook(books, []), [stageLetter(trouble)]);
  expect(gather(books).householdSent).toMatchObject([{ kind: 'trouble', visit: null }]);
});

it('a visit that was done or left out since the look ahead is not spoken of', () => {
  const books = stageBooks();
  const outlook = stageOutlook(books, [visit]);
  postLetters(books, outlook, [stageLetter(stageNotice(visit))]);
  confirmVisit(books, {
    visit,
    tasks: ['engine-oil'],
    day: parseDay('2031-04-05'),
    hours: null,
    by: null,
    door: 'link',
    note: null,
    minutes: null,
    findings: [],
    key: null,
  });
  expect(postLetters(books, outlook, [stageLetter(stageNotice(visit, { kind: 'parts' }))]).letters).toHaveLength(1);
  const nowMs = books.clock.nowMs();
  const day = parseDay('2031-04-05');
  enterAnswer(books, mower.id, { kind: 'leave-out', tasks: ['blades'], day, hours: null, atMs: nowMs }, 'ines');
  expect(factsAbout(books).visits[0]?.state).toBe('done');
  expect(postLetters(books, outlook, [stageLetter(stageNotice(visit, { kind: 'late' }))])).toEqual({
    letters: [],
    skipped: 1,
  });
});

it('a change of tasks or day makes a new revision; none makes none', () => {
  const books = stageBooks();
  const announce = (changed: typeof visit, kind: 'parts' | 'work' | 'late') =>
    postLetters(books, stageOutlook(books, [changed]), [stageLetter(stageNotice(changed, { kind }))]);
  const revision = () => factsAbout(books).visits[0]?.revision;
  announce(visit, 'parts');
  announce({ ...visit, tasks: ['blades', 'engine-oil'] }, 'work');
  expect(revision()).toBe(1);
  announce({ ...visit, tasks: ['engine-oil', 'air-filter'] }, 'late');
  expect(revision()).toBe(2);
  announce({ ...visit, tasks: ['engine-oil', 'air-filter'], day: parseDay('2031-04-19') }, 'work');
  expect(revision()).toBe(3);
  expect(factsAbout(books).visits).toHaveLength(1);
});

it('a visit whose tasks all went into another is dropped, and opens again with its next announcement', () => {
  const books = stageBooks();
  const other = stageVisit('meadow-mower-blades-1', ['blades']);
  const states = () => Object.fromEntries(factsAbout(books).visits.map((v) => [v.id, v.state]));
  postLetters(books, stageOutlook(books, [other]), [stageLetter(stageNotice(other))]);
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  expect(states()).toEqual({ [other.id]: 'dropped', [visit.id]: 'open' });
  postLetters(books, stageOutlook(books, [visit, other]), [stageLetter(stageNotice(other, { kind: 'late' }))]);
  expect(states()).toEqual({ [other.id]: 'open', [visit.id]: 'open' });
});

it('letters about one visit to one person are one thread; another person’s is their own', () => {
  const books = stageBooks();
  const outlook = stageOutlook(books, [visit]);
  for (const notice of [
    stageNotice(visit, { kind: 'parts' }),
    stageNotice(visit, { to: 'tomas' }),
    stageNotice(visit),
    stageNotice(visit, { kind: 'late' }),
  ]) {
    postLetters(books, outlook, [stageLetter(notice)]);
  }
  const [parts, tomas, work, late] = allLetters(books);
  expect(tomas).toMatchObject({ inReplyTo: null, references: [] });
  expect(work).toMatchObject({ inReplyTo: parts?.messageId, references: [parts?.messageId] });
  expect(late).toMatchObject({ inReplyTo: work?.messageId, references: [parts?.messageId, work?.messageId] });
});

describe('of a letter about several things', () => {
  const deck = stageVisit('meadow-mower-deck-2', ['deck-clean']);
  const belt = stageVisit('meadow-mower-belt-1', ['belt']);
  const outlook = (books: ReturnType<typeof stageBooks>) => stageOutlook(books, [visit, deck, belt]);
  const parts = (one: typeof visit) => stageNotice(one, { kind: 'parts' });

  it('the thread is that of what leads it, not of what it mentions', () => {
    const books = stageBooks();
    postLetters(books, outlook(books), [stageLetter(parts(visit), parts(deck))]);
    postLetters(books, outlook(books), [stageLetter(stageNotice(belt), stageNotice(deck))]);
    postLetters(books, outlook(books), [stageLetter(stageNotice(visit), stageNotice(belt, { kind: 'late' }))]);
    const [first, second, third] = allLetters(books);
    expect(second).toMatchObject({ inReplyTo: null, references: [] });
    expect(third).toMatchObject({ inReplyTo: first?.messageId, references: [first?.messageId] });
  });

  it('what it only mentioned goes on below it, and takes its place nowhere', () => {
    const books = stageBooks();
    postLetters(books, outlook(books), [stageLetter(parts(visit), parts(deck))]);
    postLetters(books, outlook(books), [stageLetter(stageNotice(deck))]);
    postLetters(books, outlook(books), [stageLetter(stageNotice(deck, { kind: 'late' }))]);
    postLetters(books, outlook(books), [stageLetter(stageNotice(visit))]);
    const [both, work, late, other] = allLetters(books);
    expect(work).toMatchObject({ inReplyTo: both?.messageId, references: [both?.messageId] });
    expect(late).toMatchObject({ inReplyTo: work?.messageId, references: [both?.messageId, work?.messageId] });
    const marks = [both, work, late, other].map((letter) => threadOf(books, letter?.id ?? ''));
    expect(marks).toEqual([both?.messageId, work?.messageId, work?.messageId, both?.messageId]);
  });
});

it('word of a trouble that lasts follows the first word of it; another trouble begins anew', () => {
  const books = stageBooks();
  const tell = (key: string, day: string) => {
    books.setNow(`${day}T18:30:00Z`);
    const trouble = { kind: 'trouble', visit: null, machine: null, tasks: [key], proposedDay: null } as const;
    postLetters(books, stageOutlook(books, []), [stageLetter(stageNotice(visit, trouble))]);
  };
  tell('backup', '2031-04-11');
  tell('feed', '2031-04-13');
  tell('backup', '2031-04-25');
  const [first, other, again] = allLetters(books);
  expect(other).toMatchObject({ inReplyTo: null, references: [] });
  expect(again).toMatchObject({ inReplyTo: first?.messageId, references: [first?.messageId] });
});

it('every Message-ID is a msg-id of its own (RFC 5322 section 3.6.4)', () => {
  const books = stageBooks();
  const outlook = stageOutlook(books, [visit]);
  for (const kind of ['parts', 'work', 'late'] as const)
    postLetters(books, outlook, [stageLetter(stageNotice(visit, { kind }))]);
  const ids = allLetters(books).map((l) => l.messageId);
  expect(new Set(ids).size).toBe(3);
  for (const id of ids) expect(id).toMatch(/^<[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*>$/);
});

it('a person with an address gets mail once SMTP is set up', () => {
  const smtp = { host: 'mail.example', port: 587, security: 'starttls' as const, from: 'bell@mail.example' };
  const people = [
    { id: 'ines', name: 'Ines', mail: 'ines@mail.example' },
    { id: 'tomas', name: 'Tomas' },
  ];
  const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, people } } });
  const outlook = stageOutlook(books, [visit]);
  postLetters(books, outlook, [stageLetter(stageNotice(visit)), stageLetter(stageNotice(visit, { to: 'tomas' }))]);
  expect(allLetters(books).map((l) => l.channel)).toEqual(['mail', 'file']);
});

it('parts of a task that came to an announced visit are told, and a question may come again for the same day', () => {
  const books = stageBooks();
  const grown = stageVisit(visit.id, ['engine-oil', 'blades', 'air-filter']);
  const parts = (of: typeof visit) => stageNotice(of, { kind: 'parts' });
  const post = (planned: typeof visit, notice: ReturnType<typeof stageNotice>) =>
    postLetters(books, stageOutlook(books, [planned]), [stageLetter(notice)]);
  post(visit, parts(visit));
  expect(post(visit, parts(visit)).skipped).toBe(1);
  expect(post(grown, parts(grown)).letters).toHaveLength(1);
  expect(post(grown, parts(grown)).skipped).toBe(1);

  const question = stageNotice(visit, { kind: 'reading' });
  expect(post(visit, question).letters).toHaveLength(1);
  expect(post(visit, question).skipped).toBe(1);
  books.setNow('2031-04-13T18:30');
  expect(post(visit, question).letters).toHaveLength(1);
});

it('a person with a device that asked gets the same letter by both ways; the notices are said once', () => {
  const smtp = { host: 'mail.example.org', port: 25, security: 'plain', from: 'shed@example.org' } as const;
  const [first] = stagedHome.household.people;
  if (first === undefined) throw new Error('the stage has nobody');
  const people = [{ ...first, mail: 'one@example.org' }];
  const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, people } } });
  const p256dh = createECDH('prime256v1').generateKeys('base64url');
  const auth = Buffer.alloc(16, 1).toString('base64url');
  enterPushDevice(books, first.id, { endpoint: 'https://push.example.net/1', p256dh, auth });
  const said = stageLetter(stageNotice(visit, { to: first.id }));
  postLetters(books, stageOutlook(books, [visit]), [said]);
  const [main, copy, ...more] = allLetters(books);
  expect(more).toEqual([]);
  expect([main?.channel, copy?.channel]).toEqual(['mail', 'push']);
  expect(copy).toMatchObject({ copyOf: main?.id, letter: main?.letter, inReplyTo: main?.messageId });
  expect(copy?.messageId).not.toBe(main?.messageId);
  expect(factsAbout(books).sent).toHaveLength(1);
});

describe('two people with one mail address', () => {
  const smtp = { host: 'mail.example', port: 587, security: 'starttls' as const, from: 'bell@mail.example' };
  const shared = [
    { id: 'ines', name: 'Ines', mail: 'home@mail.example' },
    { id: 'tomas', name: 'Tomas', mail: 'Home@mail.example' },
  ];
  const stage = (people: readonly Person[] = shared) =>
    stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, smtp, people } } });
  const letter = (to: string, ...kinds: readonly ('parts' | 'work' | 'late')[]) =>
    stageLetter(...kinds.map((kind) => stageNotice(visit, { kind, to })));
  const sent = (books: Books) => allLetters(books).map((one) => [one.to, one.channel]);
  const told = (books: Books) => factsAbout(books).sent.map((one) => [one.to, one.kind, one.message]);

  it('get one letter for what both are told, and both count as told', () => {
    const books = stage();
    const outlook = stageOutlook(books, [visit]);
    const letters = [letter('ines', 'work'), letter('tomas', 'work')];
    expect(postLetters(books, outlook, letters)).toEqual({ letters: ['letter-1'], skipped: 0 });
    expect(sent(books)).toEqual([['ines', 'mail']]);
    expect(told(books)).toEqual([
      ['ines', 'work', 'letter-1'],
      ['tomas', 'work', 'letter-1'],
    ]);
    expect(allLetters(books)[0]?.reasons).toEqual(['the visit is tomorrow']);
    expect(postLetters(books, outlook, letters)).toEqual({ letters: [], skipped: 2 });
  });

  it('get the letter that says more where one says all of the other', () => {
    const books = stage();
    postLetters(books, stageOutlook(books, [visit]), [letter('ines', 'work'), letter('tomas', 'parts', 'work')]);
    expect(sent(books)).toEqual([['tomas', 'mail']]);
    expect(
      told(books)
        .map(([to, kind]) => `${to} ${kind}`)
        .sort(),
    ).toEqual(['ines work', 'tomas parts', 'tomas work']);
  });

  it('get a letter each where each says something of its own', () => {
    const books = stage();
    postLetters(books, stageOutlook(books, [visit]), [letter('ines', 'parts'), letter('tomas', 'work')]);
    expect(sent(books)).toEqual([
      ['ines', 'mail'],
      ['tomas', 'mail'],
    ]);
  });

  it('are both told anew where the letter that stood for both was given up', () => {
    const books = stage();
    postLetters(books, stageOutlook(books, [visit]), [letter('ines', 'work'), letter('tomas', 'work')]);
    books.setNow('2031-04-12T10:00');
    noteSending(books, 'letter-1');
    noteAttempt(books, 'letter-1', { kind: 'try-later', reason: 'no answer', afterMs: null });
    expect(told(books)).toEqual([]);
  });

  it('keep their own devices: whoever is told there too is told there, without a second mail', () => {
    const books = stage();
    const p256dh = createECDH('prime256v1').generateKeys('base64url');
    const auth = Buffer.alloc(16, 1).toString('base64url');
    enterPushDevice(books, 'tomas', { endpoint: 'https://push.example.net/1', p256dh, auth });
    postLetters(books, stageOutlook(books, [visit]), [letter('tomas', 'work'), letter('ines', 'work')]);
    expect(sent(books).sort()).toEqual([
      ['tomas', 'mail'],
      ['tomas', 'push'],
    ]);
    const others = stage();
    enterPushDevice(others, 'tomas', { endpoint: 'https://push.example.net/1', p256dh, auth });
    postLetters(others, stageOutlook(others, [visit]), [letter('ines', 'work'), letter('tomas', 'work')]);
    expect(sent(others)).toEqual([
      ['ines', 'mail'],
      ['tomas', 'push'],
    ]);
  });
});
