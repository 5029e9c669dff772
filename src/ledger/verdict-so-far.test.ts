import { expect, test } from 'vitest';
import type { Measurement } from '../domain/task.js';
import { verdictSoFar } from './verdict-so-far.js';

const gap: Measurement = {
  id: 'gap',
  name: 'gap',
  specification: { kind: 'range', min: '40 mm', max: '45 mm' },
};
const travel: Measurement = {
  id: 'travel',
  name: 'travel',
  specification: { kind: 'difference', min: '40 mm', max: '50 mm' },
};
const charge: Measurement = {
  id: 'charge',
  name: 'charge',
  specification: {
    kind: 'lookup',
    points: [
      ['12.2 V', 50],
      ['12.6 V', 100],
    ],
    unit: '%',
    min: 60,
  },
};
const found = (text: string | null, left: string | null = null) => ({ found: text, left });

test('a value is judged as soon as it is typed, with decimal commas, fractions and other units of the same quantity', () => {
  expect(verdictSoFar(gap, found('42,5'))).toBe('42.5 mm is in (40 to 45 mm).');
  expect(verdictSoFar(gap, found('1 5/8 in'))).toBe('1 5/8 in (41.275 mm) is in (40 to 45 mm).');
  expect(verdictSoFar(gap, found('4.6 cm'))).toBe('4.6 cm (46 mm) is out: 1 mm too much (40 to 45 mm).');
  expect(verdictSoFar(charge, found('12,4'))).toContain('75 % is in');
});

test('what was left is judged behind what was found', () => {
  expect(verdictSoFar(gap, found('46', '44'))).toBe(
    '46 mm is out: 1 mm too much (40 to 45 mm). As left: 44 mm is in (40 to 45 mm).',
  );
  expect(verdictSoFar(gap, found(null, '44'))).toBe('As left: 44 mm is in (40 to 45 mm).');
});

test('what is adjusted says that its value as left is still to come', () => {
  const pedal: Measurement = {
    id: 'pedal',
    name: 'pedal',
    // biome-ignore lint/suspicious/noThenProperty: the plan's own key
    specification: { kind: 'adjustThen', adjustTo: '10 mm', then: 'one turn back', min: '25 mm', max: '36 mm' },
  };
  expect(verdictSoFar(pedal, found('30'))).toMatch(
    /^30 mm is in .*25 to 36 mm\). Adjust it, then write the value as left\.$/,
  );
  expect(verdictSoFar(pedal, found('30', '31'))).not.toContain('Adjust it');
});

test('an entry that cannot be read is said with what would be right', () => {
  for (const wrong of ['1/0 in', '7 psi', 'abc']) {
    expect(verdictSoFar(gap, found(wrong)), wrong).toMatch(/^Not taken: .+\. .+\.$/);
  }
});

test('nothing is said before both values of a difference are there, nor of a blank, nor of a value to set', () => {
  expect(verdictSoFar(travel, found('180'))).toBe('');
  expect(verdictSoFar(travel, found('; 135'))).toBe('');
  expect(verdictSoFar(travel, found('180; 135'))).toContain('45 mm is in');
  expect(verdictSoFar(gap, found(' '))).toBe('');
  expect(verdictSoFar({ ...gap, specification: { kind: 'setTo', value: '65 N m' } }, found('turned'))).toBe('');
  expect(verdictSoFar({ ...gap, specification: { kind: 'level', marks: 'the marks' } }, found(', 0.2 L'))).toBe('');
});
