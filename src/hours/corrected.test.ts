import { expect, test } from 'vitest';
import { aMachine, aTask, at, someFacts } from '../../tests/stage/visit-scene.js';
import type { MachineFacts } from '../domain/facts.js';
import { hoursPerYear, hoursQuantiles } from './at.js';
import { estimateHours } from './estimate.js';
import { gatherEvidence } from './evidence.js';

const machine = aMachine([aTask('oil', { every: { hours: 50 } })], { last: {} });
const reading = (days: number, hours: number, id = `r${days}`): MachineFacts['readings'][number] => ({
  id,
  atMs: at(days),
  hours,
  about: false,
  door: 'page',
  by: 'ines',
});
const right = [reading(-300, 100), reading(-200, 113), reading(-100, 127), reading(-10, 140)];

function said(readings: MachineFacts['readings']) {
  const estimate = estimateHours(gatherEvidence(machine, someFacts({ readings }), 'north'), at(0));
  if (estimate === null) throw new Error('nothing was estimated');
  return [...hoursQuantiles(estimate, at(0), [0.1, 0.5, 0.9]), hoursPerYear(estimate, at(0))];
}

test('a slip that was taken back and entered anew leaves no trace, in whatever order it came', () => {
  // Taken back, the 172 of the slip is no fact any more; the 127 came last and stands out of order.
  const late = [reading(-300, 100), reading(-200, 113), reading(-10, 140), reading(-100, 127, 'anew')];
  expect(said(late)).toEqual(said(right));
  const slipped = [reading(-300, 100), reading(-200, 113), reading(-100, 172), reading(-10, 172)];
  expect(said(slipped)).not.toEqual(said(right));
});

test('of a slip too high that still stands, the newer reading is believed', () => {
  const [, median = 0] = said([reading(-300, 100), reading(-200, 113), reading(-100, 172), reading(-10, 140)]);
  expect(median).toBeGreaterThanOrEqual(140);
  expect(median).toBeLessThan(150);
});

test('two different numbers of one instant are taken in the order of the hours, whichever was entered first', () => {
  const twice = [reading(-10, 140), reading(-10, 140.4, 'again')];
  const both = said([...right.slice(0, 3), ...twice]);
  expect(said([...right.slice(0, 3), ...twice.toReversed()])).toEqual(both);
  expect(both.every(Number.isFinite)).toBe(true);
  expect(both[0]).toBeGreaterThanOrEqual(140.4);
});
