import { expect, test } from 'vitest';
import { sayMachine, sayMachineFirst } from './machine.js';

test.each([
  ['Hill tractor', 'the hill tractor'],
  ['Generator', 'the generator'],
  ['Rosie', 'Rosie'],
  ['Big Bess', 'Big Bess'],
  ['The old mower', 'the old mower'],
  ["Anna's mower", "Anna's mower"],
  ['Our tiller', 'our tiller'],
  ['Hill Tractor', 'the Hill Tractor'],
  ['PTO chipper', 'the PTO chipper'],
])('%j stands in a sentence as %j', (name, said) => {
  expect(sayMachine({ name })).toBe(said);
});

test('a sentence that begins with a machine begins with a capital', () => {
  expect(sayMachineFirst({ name: 'Hill tractor' })).toBe('The hill tractor');
});

test('a name cannot break the line', () => {
  expect(sayMachine({ name: 'Hill\r\ntractor' })).toBe('the hill tractor');
});
