import { expect, it } from 'vitest';
import {
  factsAbout,
  mower,
  saw,
  stageBooks,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { parseDay } from '../domain/day.js';
import { enterAnswer } from './answer.js';
import { enterNotUsed } from './enter-not-used.js';
import { answerNoticed, enterNoticed, reopenNoticed, voidNoticed } from './enter-noticed.js';
import { enterReading } from './enter-reading.js';
import { enterToldRun } from './enter-told-run.js';
import { installId } from './install-id.js';
import { leftBehind } from './left-behind.js';
import { newestFactMs } from './newest-fact.js';
import { postLetters } from './post.js';
import { answersGiven } from './told.js';
import { voidAnswer } from './void-answer.js';
import { voidReading } from './void-reading.js';

it('an answer can be taken back once, counts no longer, and may be given again', () => {
  const books = stageBooks();
  const answer = { kind: 'leave-out', tasks: ['engine-oil'], day: parseDay('2031-04-05'), hours: null } as const;
  const give = () => enterAnswer(books, mower.id, { ...answer, atMs: books.clock.nowMs() }, 'ines');
  expect(give()).toEqual({ kind: 'entered', id: 'answer-1' });
  expect(give()).toEqual({ kind: 'already', id: 'answer-1' });
  const version = books.store.dataVersion();
  expect(voidAnswer(books, 'answer-1', 'tomas').kind).toBe('voided');
  expect(books.store.dataVersion()).toBeGreaterThan(version);
  expect(voidAnswer(books, 'answer-1', 'tomas').kind).toBe('already');
  expect(factsAbout(books).answers).toEqual([]);
  expect(give()).toEqual({ kind: 'entered', id: 'answer-2' });
  expect(answersGiven(books, mower.id).map((given) => [given.id, given.takenBackAtMs === null])).toEqual([
    ['answer-2', true],
    ['answer-1', false],
  ]);
  for (const id of ['answer-9', 'answer-0', 'answer-', 'answer-1e0', 'record-1', '1']) {
    expect(voidAnswer(books, id, null), id).toMatchObject({ kind: 'refused', fault: { code: 'answer-unknown' } });
  }
});

it('a told run that is hard to believe is refused with what was probably meant, and counts once a person says so', () => {
  const books = stageBooks();
  const tell = (minutes: number, confirm = false) =>
    enterToldRun(books, {
      machine: saw.id,
      minutes,
      atMs: books.clock.nowMs(),
      by: null,
      door: 'page',
      key: null,
      confirm,
    });
  for (const minutes of [40, 35, 45]) expect(tell(minutes).kind).toBe('counted');
  const asked = tell(400);
  expect(asked).toMatchObject({ kind: 'refused', fault: { code: 'run-questionable', found: '400' } });
  expect(asked.kind === 'refused' && asked.fault.line).toContain('Did you mean 40 min?');
  expect(factsAbout(books, saw.id).toldRuns).toHaveLength(3);
  expect(tell(400, true)).toMatchObject({ kind: 'counted', run: { minutes: 400 } });
});

it('a told run counts for a machine without a meter, once a key, and can be taken back', () => {
  const books = stageBooks();
  const tell = (minutes: number, key: string | null = null, machine = saw.id) =>
    enterToldRun(books, { machine, minutes, atMs: books.clock.nowMs(), by: 'tomas', door: 'page', key });
  expect(tell(40, 'form-1')).toMatchObject({ kind: 'counted', run: { minutes: 40 } });
  expect(tell(40, 'form-1').kind).toBe('already');
  expect(factsAbout(books, saw.id).toldRuns).toHaveLength(1);
  expect(tell(25, 'form-1')).toMatchObject({ kind: 'counted', run: { minutes: 25 } });
  expect(voidReading(books, 'run-2', 'tomas').kind).toBe('voided');
  expect(voidReading(books, 'run-1', 'tomas').kind).toBe('voided');
  expect(factsAbout(books, saw.id).toldRuns).toEqual([]);
  for (const minutes of [0, -1, Number.NaN, 1441, Number.POSITIVE_INFINITY]) {
    expect(tell(minutes), String(minutes)).toMatchObject({ kind: 'refused', fault: { code: 'minutes-unreadable' } });
  }
  expect(tell(40, null, mower.id)).toMatchObject({ kind: 'refused', fault: { code: 'machine-has-a-meter' } });
});

it('the told runs of one day are at most a day', () => {
  const books = stageBooks();
  const tell = (minutes: number) =>
    enterToldRun(books, {
      machine: saw.id,
      minutes,
      atMs: books.clock.nowMs(),
      by: null,
      door: 'page',
      key: null,
      confirm: true,
    });
  expect(tell(1000).kind).toBe('counted');
  expect(tell(441)).toMatchObject({ kind: 'refused', fault: { code: 'more-than-a-day' } });
  expect(tell(440).kind).toBe('counted');
});

it('"not used since" holds from that day until it was told', () => {
  const books = stageBooks();
  const tell = (day: string) =>
    enterNotUsed(books, { machine: mower.id, since: parseDay(day), by: 'ines', door: 'page' });
  expect(tell('2030-11-01').kind).toBe('entered');
  expect(tell('2030-12-01').kind).toBe('already');
  expect(tell('2031-04-06')).toMatchObject({ kind: 'refused', fault: { code: 'day-in-future' } });
  expect(factsAbout(books).notUsed).toEqual([{ sinceMs: Date.UTC(2030, 10, 1), toldAtMs: books.clock.nowMs() }]);
});

it('answers are kept in their order; the same one right after itself is one', () => {
  const books = stageBooks();
  const atMs = books.clock.nowMs();
  const askOn = { kind: 'ask-on', tasks: ['blades'], day: parseDay('2031-04-20'), atMs } as const;
  const haveIt = { kind: 'have-parts', tasks: ['engine-oil'], atMs } as const;
  expect(enterAnswer(books, mower.id, askOn, 'ines').kind).toBe('entered');
  expect(enterAnswer(books, mower.id, { ...askOn, atMs: atMs + 5 }, 'ines').kind).toBe('already');
  expect(enterAnswer(books, mower.id, haveIt, 'ines').kind).toBe('entered');
  expect(factsAbout(books).answers).toEqual([askOn, haveIt]);
});

it.each([
  ['a task that is none', { kind: 'have-parts', tasks: ['polish'], atMs: 0 }, 'task-unknown'],
  ['no task', { kind: 'have-parts', tasks: [], atMs: 0 }, 'no-tasks'],
  ['ask on a day gone by', { kind: 'ask-on', tasks: ['blades'], day: '2031-04-04', atMs: 0 }, 'day-out-of-range'],
  ['ask in a hundred years', { kind: 'ask-on', tasks: ['blades'], day: '2131-04-04', atMs: 0 }, 'day-out-of-range'],
  [
    'leave out tomorrow',
    { kind: 'leave-out', tasks: ['blades'], day: '2031-04-06', hours: null, atMs: 0 },
    'day-in-future',
  ],
])('an answer with %s is refused', (_name, answer, code) => {
  const books = stageBooks();
  expect(enterAnswer(books, mower.id, answer as Parameters<typeof enterAnswer>[2], null)).toMatchObject({
    kind: 'refused',
    fault: { code },
  });
  expect(factsAbout(books).answers).toEqual([]);
});

it('what was noticed is taken back as if nobody had written it; seen to by a slip, it is opened again', () => {
  const books = stageBooks();
  const entry = { machine: mower.id, text: 'the deck hums', by: null, key: 'form-1' };
  enterNoticed(books, entry);
  answerNoticed(books, 'noticed-1', 'ines');
  expect(reopenNoticed(books, 'noticed-1').kind).toBe('open');
  expect(reopenNoticed(books, 'noticed-1').kind).toBe('already');
  expect(factsAbout(books).noticed).toMatchObject([{ state: 'open' }]);
  expect(voidNoticed(books, 'noticed-1', 'ines').kind).toBe('voided');
  expect(voidNoticed(books, 'noticed-1', 'ines').kind).toBe('already');
  expect(factsAbout(books).noticed).toEqual([]);
  expect(answerNoticed(books, 'noticed-1', null)).toMatchObject({ fault: { code: 'noticed-unknown' } });
  expect(voidNoticed(books, 'noticed-9', null)).toMatchObject({ fault: { code: 'noticed-unknown' } });
  books.reopen();
  expect(enterNoticed(books, entry)).toMatchObject({ kind: 'entered', noticed: { id: 'noticed-2' } });
});

it('what was noticed stands open until it is answered', () => {
  const books = stageBooks();
  const entry = { machine: mower.id, text: ' the deck hums\u0007 ', by: 'ines', key: 'form-1' };
  expect(enterNoticed(books, entry)).toMatchObject({ kind: 'entered', noticed: { text: 'the deck hums' } });
  expect(enterNoticed(books, entry).kind).toBe('already');
  expect(factsAbout(books).noticed).toMatchObject([{ text: 'the deck hums', state: 'open' }]);
  expect(answerNoticed(books, 'noticed-1', 'ines').kind).toBe('answered');
  expect(answerNoticed(books, 'noticed-1', 'ines').kind).toBe('already');
  expect(factsAbout(books).noticed).toMatchObject([{ state: 'answered' }]);
  expect(enterNoticed(books, { ...entry, text: ' ', key: null })).toMatchObject({ fault: { code: 'text-empty' } });
  expect(enterNoticed(books, { ...entry, text: 'x'.repeat(4001), key: null })).toMatchObject({
    fault: { code: 'text-too-long' },
  });
});

it('an installation has one name for good, and another installation another', () => {
  const books = stageBooks();
  const name = installId(books);
  books.reopen();
  expect(installId(books)).toBe(name);
  expect(name).toMatch(/^[0-9a-f]{12}$/);
  expect(installId(stageBooks())).not.toBe(name);
});

it('the newest fact tells when something was last written down here', () => {
  const books = stageBooks();
  expect(newestFactMs(books)).toBeNull();
  enterToldRun(books, { machine: saw.id, minutes: 5, atMs: 1_000, by: null, door: 'page', key: null });
  expect(newestFactMs(books)).toBe(books.clock.nowMs());
});

it('what a clock running ahead stamped neither counts as said nor as answered once the clock is right', () => {
  const books = stageBooks();
  books.setNow('2041-01-02T10:00');
  const visit = stageVisit('meadow-mower-blades-1', ['blades'], '2041-01-03');
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  const askOn = { kind: 'ask-on', tasks: ['blades'], day: parseDay('2041-02-01'), atMs: books.clock.nowMs() } as const;
  enterAnswer(books, mower.id, askOn, null);
  expect(factsAbout(books)).toMatchObject({ sent: [{ kind: 'work' }], answers: [{ kind: 'ask-on' }] });
  books.setNow('2031-04-06T10:00');
  expect(factsAbout(books)).toMatchObject({ sent: [], answers: [] });
});

it('entries of a machine whose file was renamed or taken away are known to be left behind', () => {
  const both = stageBooks();
  enterReading(both, {
    machine: mower.id,
    hours: 150,
    atMs: both.clock.nowMs(),
    by: null,
    door: 'page',
    confirm: false,
    key: null,
  });
  expect(leftBehind(both)).toEqual([]);
  const renamed = { ...both, store: both.store, home: () => ({ ...both.home(), machines: [saw] }) };
  expect(leftBehind(renamed)).toEqual([{ machine: mower.id, entries: 1 }]);
});
