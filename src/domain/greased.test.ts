import { expect, it } from 'vitest';
import { greasedFinding, leftOut, pointsToTick, tookNone } from './greased.js';

const pins = { place: 'loader pins', count: 2, sides: 'both' } as const;
const axle = { place: 'front axle', count: 3 } as const;

it('points are ticked by number, and by side where both sides have them', () => {
  expect(pointsToTick(axle)).toEqual(['1', '2', '3']);
  expect(pointsToTick(pins)).toEqual(['left 1', 'left 2', 'right 1', 'right 2']);
});

it('what was greased is counted by side, each point once, strangers not at all', () => {
  expect(greasedFinding(pins, ['left 1', 'right 2', 'right 1', 'right 1', 'top 4'], null)).toBe(
    'greased 1 of 2 left, 2 of 2 right',
  );
  expect(greasedFinding(axle, ['2'], null)).toBe('greased 1 of 3');
  expect(greasedFinding(axle, [], null)).toBeNull();
});

it('points that take no grease are told behind it and found again', () => {
  const both = greasedFinding(axle, ['1', '2'], 'the left one');
  expect(both).toBe('greased 2 of 3; takes no grease: the left one');
  expect(tookNone(both ?? '')).toBe('takes no grease: the left one');
  expect(greasedFinding(axle, [], 'all')).toBe('takes no grease: all');
  expect(tookNone('greased 3 of 3')).toBeNull();
});

it('where other points of the job were ticked, none ticked here is none greased', () => {
  expect(greasedFinding(pins, [], null, true)).toBe('greased 0 of 2 left, 0 of 2 right');
  expect(greasedFinding(pins, ['left 1'], null, true)).toBe('greased 1 of 2 left, 0 of 2 right');
  expect(greasedFinding(pins, [], 'all', true)).toBe('takes no grease: all');
});

it('points left out are found again; what was greased whole, or took none, is not among them', () => {
  expect(leftOut('greased 1 of 2')).toBe('greased 1 of 2');
  expect(leftOut('greased 12 of 12 left, 0 of 12 right')).toBe('greased 12 of 12 left, 0 of 12 right');
  expect(leftOut('greased 2 of 2 left, 2 of 2 right')).toBeNull();
  expect(leftOut('greased 2 of 3; takes no grease: the left one')).toBeNull();
  expect(leftOut('takes no grease: 1 of 2')).toBeNull();
});
