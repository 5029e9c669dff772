import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Specification } from './specification.js';
import { checkMeasurement, checkSpecification } from './specification-rules.js';

const codes = (specification: Specification) =>
  checkSpecification(specification).map(({ code, path }) => [code, path.join('.')]);
const measured = (specification: Specification, more: { aim?: string; resolution?: string }) =>
  checkMeasurement({ id: 'm', name: 'm', specification, ...more }).map(({ code, path }) => [code, path.join('.')]);

describe('a specification', () => {
  it.each<Specification>([
    { kind: 'range', min: '10 mm', max: '1/2 in' },
    { kind: 'range', min: '3 bar', max: '3 bar' },
    { kind: 'atLeast', min: '2 mm' },
    { kind: 'nominal', nominal: '1.45 bar', tolerance: '2 psi' },
    { kind: 'nominal', nominal: '1.45 bar', tolerance: '10 %' },
    { kind: 'difference', min: '-5 C', max: '-8 F' },
    { kind: 'difference', max: '3 mm' },
    {
      kind: 'lookup',
      points: [
        ['12.0 V', 25],
        ['12400 mV', 75],
      ],
      unit: '%',
      min: 50,
    },
    { kind: 'setTo', value: '90 N m', pattern: 'crosswise' },
    // biome-ignore lint/suspicious/noThenProperty: the key of the specification; its value is text
    { kind: 'adjustThen', adjustTo: 'just tight', then: 'back off', min: '0 mm', max: '0.2 mm' },
    { kind: 'level', marks: 'between the marks' },
    { kind: 'look', sound: 'dry' },
    { kind: 'test', passes: 'stops at once', longest: '1 s' },
  ])('$kind that makes sense is left alone', (specification) => {
    expect(codes(specification)).toEqual([]);
  });

  it.each<[Specification, [string, string][]]>([
    [{ kind: 'range', min: '13 mm', max: '10 mm' }, [['limits-upside-down', 'max']]],
    // 1 in is 25.4 mm exactly (international yard and pound agreement of 1959).
    [{ kind: 'range', min: '1 in', max: '25.39 mm' }, [['limits-upside-down', 'max']]],
    [{ kind: 'range', min: '1 in', max: '25.4 mm' }, []],
    [{ kind: 'range', min: '10 mm', max: '3 bar' }, [['unit-of-another-quantity', 'max']]],
    [{ kind: 'atMost', max: 'much' }, [['quantity-unreadable', 'max']]],
    [{ kind: 'nominal', nominal: '3 bar', tolerance: '-1 bar' }, [['quantity-negative', 'tolerance']]],
    [{ kind: 'difference' }, [['limit-missing', '']]],
    // As differences, -5 C are -9 F. Source: NIST SP 811 (2008) App. B.8.
    [{ kind: 'difference', min: '-5 C', max: '-10 F' }, [['limits-upside-down', 'max']]],
    [{ kind: 'nominal', nominal: '1.45 bar', tolerance: '-10 %' }, [['quantity-negative', 'tolerance']]],
    [{ kind: 'nominal', nominal: '1.45 bar', tolerance: '1 mm' }, [['unit-of-another-quantity', 'tolerance']]],
    [{ kind: 'test', passes: 'x', longest: '3 mm' }, [['unit-of-another-quantity', 'longest']]],
    [{ kind: 'test', passes: 'x', longest: '0 s' }, [['quantity-not-positive', 'longest']]],
    [{ kind: 'lookup', points: [['12 V', 1]], unit: 'V' }, [['lookup-too-short', 'points']]],
    [
      {
        kind: 'lookup',
        points: [
          ['12 V', 1],
          ['12000 mV', 2],
        ],
        unit: 'furlong',
        min: 3,
        max: 2,
      },
      [
        ['unit-unknown', 'unit'],
        ['lookup-not-rising', 'points.1'],
        ['limits-upside-down', 'max'],
      ],
    ],
    [
      {
        kind: 'lookup',
        points: [
          ['12 V', 1],
          ['13 mm', 2],
        ],
        unit: '%',
      },
      [['unit-of-another-quantity', 'points.1']],
    ],
  ])('%j', (specification, expected) => {
    expect(codes(specification)).toEqual(expected);
  });
});

describe('a measurement', () => {
  const range = { kind: 'range', min: '10 mm', max: '13 mm' } as const;

  it('aims within its range, in any unit of the same quantity', () => {
    expect(measured(range, { aim: '12 mm', resolution: '1/16 in' })).toEqual([]);
    expect(measured(range, { aim: '1.3 cm' })).toEqual([]);
    expect(measured(range, { aim: '14 mm' })).toEqual([['aim-outside-range', 'aim']]);
    expect(measured(range, { aim: '9.9 mm' })).toEqual([['aim-outside-range', 'aim']]);
    expect(measured(range, { aim: '12 bar' })).toEqual([['unit-of-another-quantity', 'aim']]);
  });

  it('is read with steps of the same quantity, more than 0', () => {
    expect(measured(range, { resolution: '1 psi' })).toEqual([['unit-of-another-quantity', 'resolution']]);
    expect(measured(range, { resolution: '0 mm' })).toEqual([['quantity-not-positive', 'resolution']]);
  });

  it('never makes the rules throw, whatever its texts are', () => {
    const text = fc.oneof(fc.string(), fc.constantFrom('1 mm', '2 in', '3 bar', '1/0 mm', '-4 C', '5', ''));
    fc.assert(
      fc.property(text, text, text, (min, max, aim) => {
        for (const breach of checkMeasurement({
          id: 'm',
          name: 'm',
          specification: { kind: 'range', min, max },
          aim,
        })) {
          expect(breach.message).not.toBe('');
        }
      }),
    );
  });
});
