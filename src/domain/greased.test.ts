import { expect, it } from 'vitest';
import { greasedFinding, pointsToTick, tookNone } from './greased.js';

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
