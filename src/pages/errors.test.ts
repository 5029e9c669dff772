import { expect, test } from 'vitest';
import { Fault } from '../domain/fault.js';
import { statusOf } from './errors.js';

test('what the disk did is no fault of the sender', () => {
  expect(statusOf(new Fault({ code: 'disk-full', message: 'No room is left' }))).toBe(503);
  expect(statusOf(new Fault({ code: 'store-busy', message: 'Another process held the data' }))).toBe(503);
});

test('a bad entry is', () => {
  expect(statusOf(new Fault({ code: 'hours-unreadable', message: 'This is no number' }))).toBe(400);
});
