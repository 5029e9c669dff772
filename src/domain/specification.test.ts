import { expect, test } from 'vitest';
import { lookEntriesOf } from './specification.js';

test('dry, damp and dripping are offered only where leaks are looked for', () => {
  expect(lookEntriesOf({ kind: 'look', sound: 'dry, supple, no chafing' })).toEqual([
    'dry',
    'damp',
    'dripping',
    'not sound',
  ]);
  expect(lookEntriesOf({ kind: 'look', sound: 'lit and clean' })).toEqual(['sound', 'not sound']);
});
