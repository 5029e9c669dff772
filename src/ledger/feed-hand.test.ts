import { expect, it } from 'vitest';
import { factsAbout, mower, stageBooks } from '../../tests/stage/ledger-books.js';
import { feedHand } from './feed-hand.js';

it('one wrong number of a sensor is asked about and does not stop the numbers that follow', () => {
  const books = stageBooks();
  const refused: string[] = [];
  const hand = feedHand<string>(
    books,
    (text) => text,
    (_machine, fault) => refused.push(fault.code),
  );
  const tell = (hours: number) => {
    const reading = { hours, atMs: books.clock.nowMs() };
    hand.keep(mower.id, {
      isInterim: false,
      state: 'as it was',
      runs: [],
      coverage: [],
      totalSeconds: 0,
      lastAtMs: null,
      reading,
    });
  };
  tell(150);
  books.setNow('2031-06-06T10:00');
  tell(1510);
  books.setNow('2031-06-06T11:00');
  tell(1511);
  tell(150.5);
  books.setNow('2031-06-06T12:00');
  tell(151);
  expect(factsAbout(books).aside).toMatchObject([{ hours: 1510 }]);
  expect(factsAbout(books).readings.map((reading) => reading.hours)).toEqual([150, 150.5, 151]);
  expect(refused).toEqual([]);
});
