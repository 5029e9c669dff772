import { describe, expect, test } from 'vitest';
import { item } from '../../tests/stage/letter-scene.js';
import { sayItem, sayToBuy, sayVolume } from './shopping.js';

const oil = item({
  kind: 'fluid',
  name: 'engine oil',
  quantity: 4.2,
  unit: 'L',
  specification: '5W-40',
  inStock: 1,
  toBuy: 3.2,
  leadDays: 1,
});

describe('a thing to have', () => {
  test('is told with quantity and specification', () => {
    expect(sayItem(oil, 'metric')).toBe('4.2 L engine oil 5W-40');
    expect(sayItem(item(), 'metric')).toBe('1 engine oil filter (number 40-1187)');
    expect(sayItem(item({ quantity: 2, specification: null }), 'metric')).toBe('2 × engine oil filter');
    expect(sayItem(item({ name: 'grease', unit: 'kg', quantity: 0.4, specification: '' }), 'metric')).toBe(
      '400 g grease',
    );
  });

  test('a grade follows the name, a longer specification stands behind a comma', () => {
    expect(sayItem({ ...oil, name: 'grease', specification: 'lithium soap' }, 'metric')).toBe(
      '4.2 L grease, lithium soap',
    );
  });

  test('keeps the metric amount beside the American one', () => {
    expect(sayItem(oil, 'us')).toBe('4.4 US qt (4.2 L) engine oil 5W-40');
    expect(sayVolume(0.12, 'us')).toBe('4.1 US fl oz (120 mL)');
    expect(sayItem(item({ name: 'grease', unit: 'kg', quantity: 0.4, specification: null }), 'us')).toBe(
      '0.9 lb (400 g) grease',
    );
  });

  test('converts as NIST SP 811 (2008) Appendix B.8 does: a US quart is 0.946 352 9 L, a fluid ounce 29.573 53 mL', () => {
    expect(sayVolume(0.9463529, 'us')).toMatch(/^1 US qt /);
    expect(sayVolume(0.02957353, 'us')).toMatch(/^1 US fl oz /);
  });

  test('to buy: what is missing, what is at home, and how long it takes', () => {
    expect(sayToBuy(oil, 'metric')).toBe('3.2 L engine oil 5W-40 (1 L at home already), about 1 day to get');
    expect(sayToBuy(item({ quantity: 3, toBuy: 2, inStock: 1, leadDays: 0, specification: null }), 'metric')).toBe(
      '2 × engine oil filter (1 at home already)',
    );
  });
});
