import { parseDay } from '../../src/domain/day.js';
import type { Books } from '../../src/ledger/books.js';
import { type Confirmation, confirmVisit } from '../../src/ledger/confirm-visit.js';
import { postLetters } from '../../src/ledger/post.js';
import { factsAbout, stageLetter, stageNotice, stageOutlook, stageVisit } from './ledger-books.js';

/** The mower's visit that the tests of confirming are about. */
export const visit = stageVisit('meadow-mower-engine-oil-1', ['engine-oil', 'blades']);

export const confirm = (books: Books, more: Partial<Confirmation> = {}) =>
  confirmVisit(books, {
    visit,
    tasks: null,
    day: parseDay('2031-04-05'),
    hours: null,
    by: 'ines',
    door: 'link',
    note: null,
    minutes: null,
    findings: [],
    key: null,
    ...more,
  });

export const announce = (books: Books, announced = visit) =>
  postLetters(books, stageOutlook(books, [announced]), [stageLetter(stageNotice(announced))]);

export const stateOf = (books: Books, id = visit.id) => factsAbout(books).visits.find((v) => v.id === id)?.state;
