import fc from 'fast-check';
import { expect, test } from 'vitest';
import { convert, parseQuantity } from '../domain/quantity.js';
import { hasVerdict, judge, sayLimits } from './judge.js';

// Values of the trade: common practice, no source.
test('a slack belt is out as found and in as left', () => {
  const belt = { kind: 'range', min: '7 mm', max: '9 mm' } as const;
  expect(judge(belt, '33 mm')).toMatchObject({ value: 33, unit: 'mm', verdict: 'out' });
  expect(judge(belt, '8 mm')).toMatchObject({ value: 8, verdict: 'in' });
});

// Common practice, no source.
test('pedal travel is a difference of two readings', () => {
  const pedal = { kind: 'difference', min: '1.0 in', max: '1.4 in' } as const;
  const verdict = judge(pedal, ['8 in', '6 in']);
  expect(verdict).toMatchObject({ value: 2, unit: 'in', verdict: 'out' });
  expect(verdict.text).toContain('0.6 in too much');
});

// Common practice, no source.
test('adjust-then says its steps in order and is judged against its range', () => {
  const pedal = {
    kind: 'adjustThen',
    adjustTo: '0.4 in',
    // biome-ignore lint/suspicious/noThenProperty: a plan's own word, never awaited
    then: 'back one full turn',
    min: '1.0 in',
    max: '1.4 in',
  } as const;
  expect(sayLimits(pedal)).toBe('set to 0.4 in, then back one full turn, then check for 1.0 to 1.4 in');
  expect(judge(pedal, '1 1/4 in')).toMatchObject({ value: 1.25, verdict: 'in' });
  expect(judge(pedal, '10 mm')).toMatchObject({ verdict: 'out' });
});

// Common practice, no source.
test('equal toe readings are in, and with a coarse step too close to call, saying how they read', () => {
  const toe = { kind: 'difference', min: '0 mm', max: '5 mm', first: 'rear', second: 'front' } as const;
  expect(judge(toe, ['29 1/4 in', '29 1/4 in'])).toMatchObject({ value: 0, unit: 'mm', verdict: 'in' });
  const coarse = judge(toe, ['29 1/4 in', '29 1/4 in'], '1 mm');
  expect(coarse.verdict).toBe('too close to call');
  expect(coarse.text).toContain('meets the limit');
});

// Common practice, no source.
test('battery charge is read between the points of its table', () => {
  const charge = {
    kind: 'lookup',
    points: [
      ['12.4 V', 75],
      ['12.6 V', 100],
    ],
    unit: '%',
  } as const;
  expect(judge(charge, '12.5 V').value).toBeCloseTo(87.5, 9);
  expect(() => judge(charge, '12.3 V')).toThrow(/outside the table/);
});

// Rule of thumb 100/75/50/25/0 percent = 12.6/12.4/12.2/12.0/11.6 V: common practice, no source.
test.each([
  ['12.6 V', 100],
  ['12,4 V', 75],
  ['12100 mV', 37.5],
  ['11.8 V', 12.5],
])('a resting battery at %s holds %f percent', (found, percent) => {
  const points = [
    ['11.6 V', 0],
    ['12.0 V', 25],
    ['12.2 V', 50],
    ['12.4 V', 75],
    ['12.6 V', 100],
  ] as const;
  expect(judge({ kind: 'lookup', points, unit: '%', min: 50 }, found).value).toBeCloseTo(percent, 6);
});

test('a value from a table is judged in tenths at most, without the whole table', () => {
  const table = {
    kind: 'lookup',
    points: [
      ['11.6 V', 0],
      ['12.8 V', 100],
    ],
    unit: '%',
    min: 65,
  } as const;
  expect(judge(table, '12.6 V').text).toBe('83.3 % is in (at least 65 %).');
  expect(judge(table, '12 V').text).toBe('33.3 % is out: 31.7 % too little (at least 65 %).');
});

test('half a step goes through the slope of the table', () => {
  const charge = {
    kind: 'lookup',
    points: [
      ['12.0 V', 25],
      ['12.4 V', 75],
    ],
    unit: '%',
    min: 50,
  } as const;
  // 0.1 V is worth 12.5 % at 125 % per volt: half of that is 6.25 %.
  expect(judge(charge, '12.24 V', '0.1 V').verdict).toBe('too close to call');
  expect(judge(charge, '12.25 V', '0.1 V').verdict).toBe('in');
  expect(judge(charge, '12.15 V', '0.1 V').verdict).toBe('out');
});

// Operator presence, 1 s: common practice, no source.
test('a stopping test takes passed, failed or a time, and a failure says not to use it', () => {
  const seat = { kind: 'test', passes: 'the engine stops', longest: '1 s', stopUse: true } as const;
  expect(judge(seat, 'passed')).toMatchObject({ value: 1, verdict: 'in' });
  expect(judge(seat, '0.6 s')).toMatchObject({ value: 0.6, unit: 's', verdict: 'in' });
  expect(judge(seat, '1.5 s').text).toContain('Do not use it until it is mended');
  expect(judge(seat, '1 s', '0.2 s').verdict).toBe('too close to call');
  expect(judge(seat, '1.1 s', '0.2 s').verdict).toBe('out');
  expect(judge(seat, 'Failed').verdict).toBe('out');
});

// Decisions with a half-step guard, JCGM 106:2012 clause 8.3.3 and JCGM 100:2008 F.2.2.1 (worked for these steps with
// the normal distribution of scipy; standards from memory).
const worked: readonly (readonly [string, string, string, readonly (readonly [number, string])[]])[] = [
  [
    '0.18 mm',
    '0.22 mm',
    '0.05 mm',
    [
      [0.15, 'out'],
      [0.2, 'too close to call'],
      [0.25, 'out'],
    ],
  ],
  [
    '0.18 mm',
    '0.22 mm',
    '0.01 mm',
    [
      [0.17, 'out'],
      [0.18, 'too close to call'],
      [0.19, 'in'],
      [0.2, 'in'],
      [0.21, 'in'],
      [0.22, 'too close to call'],
      [0.23, 'out'],
    ],
  ],
  [
    '150 kPa',
    '170 kPa',
    '10 kPa',
    [
      [130, 'out'],
      [140, 'out'],
      [150, 'too close to call'],
      [160, 'in'],
      [170, 'too close to call'],
      [180, 'out'],
    ],
  ],
  [
    '10 mm',
    '12 mm',
    '1 mm',
    [
      [8, 'out'],
      [9, 'out'],
      [10, 'too close to call'],
      [11, 'in'],
      [12, 'too close to call'],
      [13, 'out'],
    ],
  ],
];
test.each(
  worked.flatMap(([min, max, step, rows]) => rows.map(([value, verdict]) => ({ min, max, step, value, verdict }))),
)('$value held against $min to $max in steps of $step is $verdict', ({ min, max, step, value, verdict }) => {
  const unit = parseQuantity(min).unit;
  expect(judge({ kind: 'range', min, max }, `${value} ${unit}`, step).verdict).toBe(verdict);
});

// Same sources: one-sided limits.
test.each([
  [-30, 'in'],
  [-25, 'too close to call'],
  [-20, 'out'],
] as const)(
  'a freezing point of %d C against at most -25 C, refractometer in steps of 5 C, is %s',
  (value, verdict) => {
    expect(judge({ kind: 'atMost', max: '-25 C' }, `${value} C`, '5 C').verdict).toBe(verdict);
  },
);

// Source: NIST SP 811 (2008) App. B.8 for the factors; the settings are common practice, no source.
test.each([
  ['110 lbf ft', 'N m', 149.1],
  ['88 lbf ft', 'N m', 119.3],
  ['17 psi', 'kPa', 117.2],
  ['14 psi', 'kPa', 96.5],
  ['3.1 US qt', 'L', 2.93],
] as const)('%s is %s %f', (text, unit, expected) => {
  const digits = unit === 'L' ? 2 : 1;
  expect(convert(parseQuantity(text), unit)).toBeCloseTo(expected, digits);
});

test('nominal and tolerance take units of their own, and a tolerance may be a share', () => {
  expect(judge({ kind: 'nominal', nominal: '10 mm', tolerance: '1/16 in' }, '11.5 mm').verdict).toBe('in');
  expect(judge({ kind: 'nominal', nominal: '10 mm', tolerance: '1/16 in' }, '11.6 mm').verdict).toBe('out');
  expect(judge({ kind: 'nominal', nominal: '200 kPa', tolerance: '10 %' }, '221 kPa').verdict).toBe('out');
  expect(judge({ kind: 'nominal', nominal: '90 C', tolerance: '9 F' }, '95 C').verdict).toBe('in');
});

test('a difference of temperatures has limits without offset', () => {
  expect(judge({ kind: 'difference', min: '5 C', max: '18 F' }, ['70 C', '62 C'])).toMatchObject({
    value: 8,
    verdict: 'in',
  });
});

test('levels keep what was topped up', () => {
  const level = { kind: 'level', marks: 'between the two notches' } as const;
  expect(judge(level, 'below the lower mark, 0.2 L')).toMatchObject({ value: 0.2, unit: 'L', verdict: 'out' });
  expect(judge(level, 'Between the marks')).toMatchObject({ value: 0, verdict: 'in' });
});

test('the worst place decides a look, and damp is to be watched', () => {
  const look = { kind: 'look', sound: 'dry and tight' } as const;
  expect(judge(look, ['dry', 'sound', 'dry']).verdict).toBe('in');
  expect(judge(look, ['dry', 'damp']).verdict).toBe('too close to call');
  expect(judge(look, ['dripping', 'damp', 'dry']).text).toContain('dripping at 1 of 3 places');
});

test.each([
  [{ kind: 'atMost', max: '3 bar' }, '-1 bar'],
  [{ kind: 'atMost', max: '3 bar' }, '−14 psi'],
  [{ kind: 'range', min: '90 N m', max: '110 N m' }, '-100 N m'],
  [{ kind: 'nominal', nominal: '3600 rpm', tolerance: '2 %' }, '-3600 rpm'],
  [{ kind: 'level', marks: 'between the notches' }, 'between the marks, -0.2 L'],
] as const)('%j: %j has a minus sign that cannot be meant, and is not judged', (specification, found) => {
  expect(() => judge(specification, found)).toThrow(expect.objectContaining({ code: 'quantity-negative' }));
});

test.each([
  [{ kind: 'range', min: '-0.4 bar', max: '-0.2 bar' }, '-0.3 bar', 'in'],
  [{ kind: 'atMost', max: '2 mm' }, '-1 mm', 'in'],
  [{ kind: 'atMost', max: '-25 C' }, '-30 C', 'in'],
  [{ kind: 'atLeast', min: '12.4 V' }, '-12.6 V', 'out'],
] as const)('%j: %j may be below zero and is judged', (specification, found, verdict) => {
  expect(judge(specification, found).verdict).toBe(verdict);
});

// Source of the factors: NIST SP 811 (2008) App. B.8.
test('a value in another unit is repeated as it was typed, with its value in the unit of the limits', () => {
  const tyre = { kind: 'range', min: '110 kPa', max: '130 kPa' } as const;
  expect(judge(tyre, '13 psi').text).toBe('13 psi (89.632 kPa) is out: 20.368 kPa too little (110 to 130 kPa).');
  expect(judge(tyre, ' 17  psi').text).toBe('17 psi (117.21 kPa) is in (110 to 130 kPa).');
  expect(judge(tyre, '16 psi', '1 psi').text).toBe(
    '16 psi (110.32 kPa): as read, it meets the limit (110 to 130 kPa), but with steps of 1 psi that is too close to call.',
  );
  expect(judge(tyre, '120').text).toBe('120 kPa is in (110 to 130 kPa).');
});

test('a value to set has no verdict', () => {
  expect(hasVerdict({ kind: 'setTo', value: '60 N m' })).toBe(false);
  expect(() => judge({ kind: 'setTo', value: '60 N m' }, 'turned')).toThrow(/no verdict/);
});

test.each([
  [{ kind: 'range', min: '10 mm', max: '13 mm' }, '7 psi', 'unit-of-another-quantity'],
  [{ kind: 'range', min: '10 mm', max: '13 mm' }, '1/0 in', 'quantity-unreadable'],
  [{ kind: 'range', min: '10 mm', max: '13 mm' }, 'about ten', 'quantity-unreadable'],
  [{ kind: 'range', min: '13 mm', max: '10 mm' }, '11 mm', 'limits-upside-down'],
  [{ kind: 'range', min: '10 mm', max: '13 psi' }, '11 mm', 'unit-of-another-quantity'],
  [{ kind: 'nominal', nominal: '10 mm', tolerance: '-1 mm' }, '11 mm', 'tolerance-negative'],
  [{ kind: 'difference', max: '3 mm' }, '11 mm', 'finding-unreadable'],
  [{ kind: 'lookup', points: [['12 V', 1]], unit: '%' }, '12 V', 'table-too-short'],
  [
    {
      kind: 'lookup',
      points: [
        ['12 V', 1],
        ['12 V', 2],
      ],
      unit: '%',
    },
    '12 V',
    'table-point-twice',
  ],
  [{ kind: 'test', passes: 'it stops' }, '0.5 s', 'finding-unreadable'],
  [{ kind: 'look', sound: 'dry' }, 'fine', 'finding-unreadable'],
  [{ kind: 'level', marks: 'between' }, 'plenty', 'finding-unreadable'],
] as const)('%j against %j is refused as %s', (specification, found, code) => {
  expect(() => judge(specification, found)).toThrow(expect.objectContaining({ code }));
});

test.each(['0 mm', '-1 mm', '1 psi', 'coarse'])('a step of %j is refused', (step) => {
  expect(() => judge({ kind: 'atLeast', min: '3 mm' }, '4 mm', step)).toThrow();
});

const rank = { out: 0, 'too close to call': 1, in: 2 } as const;

test('the verdict is monotone: further above a lower limit is never worse', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 4000 }),
      fc.integer({ min: 0, max: 4000 }),
      fc.integer({ min: 1, max: 4000 }),
      fc.integer({ min: 1, max: 300 }),
      (a, b, limit, step) => {
        const spec = { kind: 'atLeast', min: `${limit / 100} mm` } as const;
        const [low, high] = a < b ? [a, b] : [b, a];
        const verdicts = [low, high].map((value) => judge(spec, `${value / 100} mm`, `${step / 100} mm`).verdict);
        const [below = 'in', above = 'in'] = verdicts;
        expect(rank[above]).toBeGreaterThanOrEqual(rank[below]);
      },
    ),
  );
});

test('the verdict does not depend on the unit in which the value is typed', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 64 * 4 }), fc.integer({ min: 1, max: 100 }), (sixteenths, limit) => {
      const spec = { kind: 'atMost', max: `${limit} mm` } as const;
      const inches = judge(spec, `${sixteenths}/16 in`, '1/16 in');
      const millimetres = judge(spec, `${((sixteenths * 25.4) / 16).toFixed(4)} mm`, '1/16 in');
      expect(inches.value).toBeCloseTo(millimetres.value, 9);
      expect(inches.verdict).toBe(millimetres.verdict);
    }),
  );
});
