import { expect, test } from 'vitest';
import { someMachine, someTask } from '../../tests/stage/small-machine.js';
import type { Finding } from '../domain/facts.js';
import { sayFinding } from './finding.js';

const machine = someMachine([
  someTask('brake', {
    measure: [
      { id: 'gap', name: 'gap of the spring', specification: { kind: 'range', min: '40 mm', max: '45 mm' } },
      {
        id: 'pedal',
        name: 'pedal travel',
        // biome-ignore lint/suspicious/noThenProperty: the plan's own key.
        specification: { kind: 'adjustThen', adjustTo: '10 mm', then: 'back one turn', min: '25 mm', max: '35 mm' },
      },
    ],
  }),
]);
const finding = (some: Partial<Finding>): Finding => ({
  task: 'brake',
  measurement: 'gap',
  place: null,
  found: null,
  left: null,
  verdict: null,
  note: null,
  ...some,
});

test('the verdict stands beside the value that it is about', () => {
  expect(sayFinding(finding({ found: '38 mm', left: '42 mm', verdict: 'out' }), machine)).toBe(
    'gap of the spring: found 38 mm (outside its limits), left 42 mm',
  );
  expect(sayFinding(finding({ measurement: 'pedal', found: '60 mm', left: '30 mm', verdict: 'in' }), machine)).toBe(
    'pedal travel: found 60 mm, left 30 mm (within its limits)',
  );
});

test('a value as left alone reads on, and a note is a sentence behind it', () => {
  expect(sayFinding(finding({ left: '42 mm' }), machine)).toBe('gap of the spring: left 42 mm');
  expect(sayFinding(finding({ place: 'rear', found: '41 mm', verdict: 'in', note: 'a little rust' }), machine)).toBe(
    'gap of the spring, rear: found 41 mm (within its limits). a little rust',
  );
  expect(sayFinding(finding({ measurement: 'fell-off', note: 'gone' }), machine)).toBe('fell off. gone');
});
