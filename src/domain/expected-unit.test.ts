import { expect, it } from 'vitest';
import { expectedUnit, expectedUnitIn, withUnitEntered } from './expected-unit.js';
import type { Specification } from './specification.js';

const gap: Specification = { kind: 'range', min: '0.1 mm', max: '0.15 mm' };
const play: Specification = { kind: 'difference' };
const toeIn: Specification = { kind: 'difference', max: '1/4 in' };
const level: Specification = { kind: 'level', marks: 'two marks' };
const stop: Specification = { kind: 'test', passes: 'it stops', longest: '1.5 s' };
const charge: Specification = {
  kind: 'lookup',
  points: [
    ['12.0 V', 25],
    ['12.6 V', 100],
  ],
  unit: '%',
};

it.each<[Specification, string | null]>([
  [gap, 'mm'],
  [toeIn, 'in'],
  [play, null],
  [charge, 'V'],
  [stop, 's'],
  [level, 'L'],
  [{ kind: 'look', sound: 'dry' }, null],
  [{ kind: 'setTo', value: '85 N m' }, null],
  [{ kind: 'test', passes: 'it stops' }, null],
])('%j wants its number in %s', (specification, unit) => {
  expect(expectedUnit(specification)).toBe(unit);
});

it.each<[Specification, string | null]>([
  [gap, 'in'],
  [{ kind: 'range', min: '110 kPa', max: '130 kPa' }, 'psi'],
  [toeIn, 'in'],
  [level, 'US qt'],
  [charge, 'V'],
  [stop, 's'],
  [{ kind: 'look', sound: 'dry' }, null],
])('in a household with US units, %j wants its number in %s', (specification, unit) => {
  expect(expectedUnitIn(specification, 'us')).toBe(unit);
  expect(expectedUnitIn(specification, 'metric')).toBe(expectedUnit(specification));
});

it.each<[string, Specification, string, string]>([
  ['a bare number takes the unit that was asked for', gap, '0,12', '0,12 mm'],
  ['a fraction too', gap, '1 ½', '1 ½ mm'],
  ['another unit stays as it was entered', gap, '5/1000 in', '5/1000 in'],
  ['both values of a difference take theirs', toeIn, '17 5/8; 17 1/2', '17 5/8 in; 17 1/2 in'],
  ['without limits the second takes that of the first', play, '4 mm; 3', '4 mm; 3 mm'],
  ['what was topped up is in litres', level, 'below the lower mark, 0,2', 'below the lower mark, 0,2 L'],
  ['or in what was said', level, 'below the lower mark, 4 US fl oz', 'below the lower mark, 4 US fl oz'],
  ['a time is in that of the longest', stop, '0.8', '0.8 s'],
  ['a reading of a table is in that of the table', charge, '12.5', '12.5 V'],
  ['words stay', stop, 'passed', 'passed'],
])('%s', (_what, specification, text, kept) => {
  expect(withUnitEntered(specification, text)).toBe(kept);
});
