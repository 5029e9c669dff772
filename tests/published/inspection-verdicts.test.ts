import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import type { Specification } from '../../src/domain/specification.js';
import { judge } from '../../src/inspection/judge.js';

/** Worked cases of JCGM 106:2012 (clauses 7 and 8) with the digital step of JCGM 100:2008, F.2.2.1; see the data file. */
const { cases, constants } = z
  .object({
    constants: z.object({ resolution_factor: z.number() }),
    cases: z.array(
      z.object({
        case: z.string(),
        lower: z.number().nullable(),
        upper: z.number().nullable(),
        step: z.number(),
        extra: z.number(),
        u: z.number(),
        reading: z.number(),
        half: z.enum(['in', 'out', 'inconclusive']),
        simple: z.enum(['in', 'out']),
        pConform: z.number(),
      }),
    ),
  })
  .parse(JSON.parse(readFileSync(new URL('./data/measurement-uncertainty.json', import.meta.url), 'utf8')));

const units = [
  ['gap', 'mm'],
  ['pressure', 'kPa'],
  ['deflection', 'mm'],
  ['voltage', 'V'],
  ['torque', 'N m'],
  ['freeze', 'C'],
] as const;
const unitOf = (name: string) => units.find(([word]) => name.startsWith(word))?.[1] ?? '';

function specificationOf({ case: name, lower, upper }: (typeof cases)[number]): Specification {
  const unit = unitOf(name);
  if (lower === null) return { kind: 'atMost', max: `${upper} ${unit}` };
  return upper === null
    ? { kind: 'atLeast', min: `${lower} ${unit}` }
    : { kind: 'range', min: `${lower} ${unit}`, max: `${upper} ${unit}` };
}

describe('verdicts, against worked cases of JCGM 106', () => {
  test.each(cases)('$case: $reading is $half', (one) => {
    const found = `${one.reading} ${unitOf(one.case)}`;
    const step = `${one.step} ${unitOf(one.case)}`;
    const wanted = one.half === 'inconclusive' ? 'too close to call' : one.half;
    expect(judge(specificationOf(one), found, step).verdict).toBe(wanted);
    expect(judge(specificationOf(one), found).verdict).toBe(one.simple);
  });

  test.each(cases.filter(({ extra }) => extra === 0))('$case: $reading, a sure verdict is a likely one', (one) => {
    const { verdict } = judge(
      specificationOf(one),
      `${one.reading} ${unitOf(one.case)}`,
      `${one.step} ${unitOf(one.case)}`,
    );
    expect(one.u / one.step).toBeCloseTo(constants.resolution_factor, 6);
    if (verdict === 'in') expect(one.pConform).toBeGreaterThan(0.95);
    if (verdict === 'out') expect(one.pConform).toBeLessThan(0.05);
  });
});

// Rest voltage and charge of a 12 V battery. Source: common practice, no standard; the finer values from memory of the widely
// reproduced table of the battery trade (100 % 12.65 V, 75 % 12.45 V, 50 % 12.24 V, 25 % 12.06 V, 0 % 11.89 V).
describe('charge from rest voltage, against the tables of the trade', () => {
  const coarse = [
    [11.6, 0],
    [12.0, 25],
    [12.2, 50],
    [12.4, 75],
    [12.6, 100],
  ] as const;
  const fine = [
    [11.89, 0],
    [12.06, 25],
    [12.24, 50],
    [12.45, 75],
    [12.65, 100],
  ] as const;
  const lookupOf = (table: readonly (readonly [number, number])[], min: number): Specification => ({
    kind: 'lookup',
    points: table.map(([volts, percent]) => [`${volts} V`, percent]),
    unit: '%',
    min,
  });

  test.each([...coarse])('%d V is %d %%', (volts, percent) => {
    expect(judge(lookupOf(coarse, 50), `${volts} V`)).toMatchObject({ value: percent, unit: '%' });
  });

  test('ten percent of charge is about 0.08 V between a quarter and three quarters', () => {
    const at = (volts: number) => judge(lookupOf(fine, 50), `${volts} V`).value;
    expect(at(12.3) - at(12.22)).toBeCloseTo(10, 0);
  });

  test('a meter of one percent, 0.12 V, leaves fifteen points of charge: half of it is the guard', () => {
    const verdictAt = (volts: number) => judge(lookupOf(coarse, 50), `${volts} V`, '0.12 V').verdict;
    expect(verdictAt(12.21)).toBe('too close to call');
    expect(verdictAt(12.25)).toBe('too close to call');
    expect(verdictAt(12.27)).toBe('in');
    expect(verdictAt(12.1)).toBe('out');
  });

  test('the two tables agree within half a quarter', () => {
    for (const volts of [12.0, 12.1, 12.2, 12.3, 12.4, 12.5, 12.6]) {
      const [a, b] = [coarse, fine].map((table) => judge(lookupOf(table, 50), `${volts} V`).value);
      expect(Math.abs((a ?? 0) - (b ?? 99))).toBeLessThan(12.5);
    }
  });
});

// Settings and findings of a shed afternoon. Source: common practice, no source.
describe('cases of the trade', () => {
  const belt: Specification = { kind: 'range', min: '7 mm', max: '9 mm' };
  const pedal: Specification = { kind: 'range', min: '1.0 in', max: '1.4 in' };
  const pedalBySubtraction: Specification = { kind: 'difference', min: '1.0 in', max: '1.4 in' };
  const toe: Specification = { kind: 'difference', min: '0 mm', max: '5 mm' };

  test('belt deflection: 33 mm is out, 8 mm as left is in', () => {
    expect(judge(belt, '33 mm').verdict).toBe('out');
    expect(judge(belt, '8 mm').verdict).toBe('in');
  });

  test('pedal travel is start minus pressed: 8 in and 6 in are 2 in, out', () => {
    expect(judge(pedalBySubtraction, ['8 in', '6 in'])).toMatchObject({ value: 2, unit: 'in', verdict: 'out' });
    expect(judge(pedal, '1 1/4 in').verdict).toBe('in');
  });

  test('toe-in of nothing is in as read, and with whole millimetres too close to call while it meets the limit', () => {
    const both = ['29 1/4 in', '29 1/4 in'];
    expect(judge(toe, both)).toMatchObject({ value: 0, unit: 'mm', verdict: 'in' });
    const close = judge(toe, both, '1 mm');
    expect(close.verdict).toBe('too close to call');
    expect(close.text).toContain('meets the limit');
  });

  test('a battery at rest at 12.5 V holds 87.5 %', () => {
    const charge: Specification = {
      kind: 'lookup',
      points: [
        ['12.4 V', 75],
        ['12.6 V', 100],
      ],
      unit: '%',
    };
    expect(judge(charge, '12.5 V').value).toBeCloseTo(87.5, 9);
  });

  test('the engine stops within a second of leaving the seat', () => {
    const stop: Specification = { kind: 'test', passes: 'engine stops', longest: '1 s', stopUse: true };
    expect(judge(stop, '0.6 s').verdict).toBe('in');
    expect(judge(stop, '1.8 s').text).toContain('Do not use it');
  });
});
