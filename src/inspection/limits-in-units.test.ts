import { expect, test } from 'vitest';
import { sayAmountIn, sayLimitsIn } from './limits-in-units.js';

// Factors of NIST SP 811 (2008), App. B.8: 1 lbf ft = 1.355 818 N m, 1 psi = 6.894 757 kPa, 1 in = 25.4 mm.
test('a US household reads what its own wrench, gauge and rule show beside the figures of the plan', () => {
  expect(sayLimitsIn({ kind: 'setTo', value: '90 N m', pattern: 'crosswise' }, 'us')).toBe(
    'set to 90 N m (66.4 lbf ft), crosswise',
  );
  expect(sayLimitsIn({ kind: 'setTo', value: '160 kPa' }, 'us')).toBe('set to 160 kPa (23.2 psi)');
  expect(sayLimitsIn({ kind: 'range', min: '10 mm', max: '13 mm' }, 'us')).toBe('10 to 13 mm (0.394 to 0.512 in)');
  expect(sayLimitsIn({ kind: 'atMost', max: '2.5 bar' }, 'us')).toBe('at most 2.5 bar (36.3 psi)');
  expect(sayLimitsIn({ kind: 'nominal', nominal: '0.7 mm', tolerance: '0.1 mm' }, 'us')).toBe(
    '0.7 mm ± 0.1 mm (0.0276 in ± 0.00394 in)',
  );
  expect(sayLimitsIn({ kind: 'nominal', nominal: '160 kPa', tolerance: '10 %' }, 'us')).toBe(
    '160 kPa ± 10 % (23.2 psi ± 10 %)',
  );
  const toe = { kind: 'difference', first: 'rear', second: 'front' } as const;
  expect(sayLimitsIn({ ...toe, min: '0 mm', max: '5 mm' }, 'us')).toBe(
    'rear minus front: 0 mm to 5 mm (0 to 0.197 in)',
  );
  expect(sayLimitsIn({ ...toe, max: '5 mm' }, 'us')).toBe('rear minus front: at most 5 mm (0.197 in)');
});

test('volts, inches and a metric household stay as the plan says them', () => {
  expect(sayLimitsIn({ kind: 'atLeast', min: '12.4 V' }, 'us')).toBe('at least 12.4 V');
  expect(sayLimitsIn({ kind: 'setTo', value: '18 lbf ft' }, 'us')).toBe('set to 18 lbf ft');
  expect(sayLimitsIn({ kind: 'setTo', value: '90 N m', pattern: 'crosswise' }, 'metric')).toBe(
    'set to 90 N m, crosswise',
  );
});

// Factors of NIST SP 811 (2008) App. B.8: 1 US qt = 0.946352946 L, 1 lb = 0.45359237 kg.
test('an amount to fill in has its US measure beside it, and one in US measure stands alone', () => {
  expect(sayAmountIn('17 L', 'us')).toBe('17 L (18 US qt)');
  expect(sayAmountIn('0.15 kg', 'us')).toBe('0.15 kg (0.331 lb)');
  expect(sayAmountIn('4 US qt', 'us')).toBe('4 US qt');
  expect(sayAmountIn('17 L', 'metric')).toBe('17 L');
});
