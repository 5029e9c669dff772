import { expect, test } from 'vitest';
import { resolveCaution } from '../domain/cautions.js';
import type { SheetStep } from '../domain/results/sheet.js';
import { saySheetLine } from './sheet.js';

const step: SheetStep = {
  kind: 'step',
  number: 4,
  task: 'storage',
  text: 'Let it idle until it stops by itself',
  where: null,
  tool: null,
  unattendedMinutes: 3,
  caution: null,
};

test('grease points have a box each, by side, and room for one that takes none', () => {
  const line = {
    kind: 'points',
    number: 7,
    task: 'grease',
    points: { place: 'arm pivots', count: 2, sides: 'both' },
  } as const;
  expect(saySheetLine(line)).toEqual([
    '  7 arm pivots, both sides: 2 points on each',
    '        [ ] left 1  [ ] left 2  [ ] right 1  [ ] right 2  takes no grease: ______',
  ]);
  const one = { kind: 'points', number: 8, task: 'grease', points: { place: 'axle pivot', count: 1 } } as const;
  expect(saySheetLine(one)[0]).toBe('  8 axle pivot: 1 point');
});

test('what a step needs by itself is a sentence of its own', () => {
  expect(saySheetLine(step)).toEqual(['  4 [ ] Let it idle until it stops by itself. Then it needs 3 min by itself.']);
  expect(saySheetLine({ ...step, text: 'Wait.' })).toEqual(['  4 [ ] Wait. Then it needs 3 min by itself.']);
});

test('work that only a bad finding brings has its dangers above its steps', () => {
  const caution = resolveCaution('frozen-battery');
  const lines = saySheetLine({
    kind: 'if-out',
    task: 'battery',
    minutes: 15,
    tools: [],
    steps: [{ ...step, text: 'Charge it', caution }],
  });
  expect(lines[1]).toContain(`${caution.signal}: ${caution.hazard} ${caution.avoid}`);
  expect(lines[2]).toContain('Charge it');
});
