import fc from 'fast-check';
import { expect, it } from 'vitest';
import { stageBooks } from '../../tests/stage/ledger-books.js';
import { makePermit, readPermit, renewPermitKey } from './permit.js';

const permit = { scope: 'visit', subject: 'meadow-mower-engine-oil-1', person: 'ines' } as const;

it('a permit opens what it was made for, and nothing else, until its days are over', () => {
  const books = stageBooks();
  const token = makePermit(books, { ...permit, days: 30 });
  expect(readPermit(books, token)).toEqual({ kind: 'valid', ...permit });
  books.setNow('2031-05-04T10:00');
  expect(readPermit(books, token).kind).toBe('valid');
  books.setNow('2031-05-07T10:00');
  expect(readPermit(books, token)).toEqual({ kind: 'expired', ...permit });
});

it('it goes on opening after a restart, and is short enough for a mail', () => {
  const books = stageBooks();
  const token = makePermit(books, { ...permit, days: 180 });
  books.reopen();
  expect(readPermit(books, token).kind).toBe('valid');
  expect(token).toMatch(/^[A-Za-z0-9_-]+$/);
  expect(token.length).toBeLessThan(110);
});

it('what mail programs hang on behind it is overlooked', () => {
  const books = stageBooks();
  const token = makePermit(books, { ...permit, days: 30 });
  for (const tail of ['.', '>', '>.', ')', '=', '%3E', '&utm_source=mail', ' ']) {
    expect(readPermit(books, token + tail).kind, tail).toBe('valid');
  }
});

it('with any one character changed it is forged', () => {
  const books = stageBooks();
  const token = makePermit(books, { ...permit, days: 30 });
  const letters = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_';
  for (let place = 0; place < token.length; place += 1) {
    for (const letter of place === token.length - 1 ? letters : letters.slice(place % 60, (place % 60) + 4)) {
      if (letter === token[place]) continue;
      const changed = token.slice(0, place) + letter + token.slice(place + 1);
      expect(readPermit(books, changed).kind, changed).toBe('forged');
    }
  }
});

it('cut short, empty, or any other text is forged, and never an exception', () => {
  const books = stageBooks();
  const token = makePermit(books, { ...permit, days: 30 });
  for (let length = 0; length < token.length; length += 1) {
    expect(readPermit(books, token.slice(0, length)).kind).toBe('forged');
  }
  fc.assert(fc.property(fc.string({ unit: 'binary' }), (text) => readPermit(books, text).kind === 'forged'));
  fc.assert(fc.property(fc.base64String(), (text) => readPermit(books, text).kind === 'forged'));
});

it('one of another household is forged', () => {
  const [here, there] = [stageBooks(), stageBooks()];
  expect(readPermit(here, makePermit(there, { ...permit, days: 30 })).kind).toBe('forged');
});

it('a new key leaves sent links good; revoking closes them all, and new ones open', () => {
  const books = stageBooks();
  const first = makePermit(books, { ...permit, days: 30 });
  books.setNow('2031-04-05T11:00');
  renewPermitKey(books, { revoke: false });
  const second = makePermit(books, { ...permit, days: 30 });
  expect([first, second].map((token) => readPermit(books, token).kind)).toEqual(['valid', 'valid']);
  books.setNow('2031-04-05T12:00');
  renewPermitKey(books, { revoke: true });
  expect([first, second].map((token) => readPermit(books, token).kind)).toEqual(['forged', 'forged']);
  expect(readPermit(books, makePermit(books, { ...permit, days: 30 })).kind).toBe('valid');
});

it('it ends with the last day it was made for, to the second', () => {
  const books = stageBooks();
  const token = makePermit(books, { ...permit, days: 30 });
  books.setNow('2031-05-05T23:59:59.999Z');
  expect(readPermit(books, token).kind).toBe('valid');
  books.setNow('2031-05-06T00:00:00Z');
  expect(readPermit(books, token).kind).toBe('expired');
});

it('a key renewed under a clock that is behind is the one that signs from then on', () => {
  const books = stageBooks();
  books.setNow('2041-01-01T10:00');
  const first = makePermit(books, { ...permit, days: 30 });
  books.setNow('2031-04-05T10:00');
  renewPermitKey(books, { revoke: false });
  const second = makePermit(books, { ...permit, days: 30 });
  const keyOf = (token: string) => JSON.parse(Buffer.from(token.slice(0, -22), 'base64url').toString())[0];
  expect([first, second].map(keyOf)).toEqual(['k1', 'k2']);
});
