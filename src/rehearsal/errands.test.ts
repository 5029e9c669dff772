import { expect, test } from 'vitest';
import { newErrands } from './errands.js';

test('errands run in the order of time, those of one instant in the order of planning, and those they plan in between', () => {
  const errands = newErrands();
  const ran: string[] = [];
  const plan = (atMs: number, name: string, then?: () => void) =>
    errands.plan({
      atMs,
      run: () => {
        ran.push(name);
        then?.();
      },
    });
  plan(20, 'late');
  plan(10, 'first', () => plan(15, 'planned meanwhile'));
  plan(10, 'second');
  expect(errands.nextMs()).toBe(10);
  errands.runUntil(15);
  expect(ran).toEqual(['first', 'second', 'planned meanwhile']);
  expect(errands.nextMs()).toBe(20);
});
