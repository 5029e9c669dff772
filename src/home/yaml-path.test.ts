import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Plain } from '../domain/home-change.js';
import { changeYaml } from './change-yaml.js';
import { readYaml } from './read-yaml.js';
import { pathAt } from './yaml-path.js';

const text = `# A mower of our own.
name: Paddock mower
meter: { first: { hours: 3 } }
tasks:
  engine-oil:
    every: { hours: 50, months: -1 }
    parts:
      - { name: filter, number: "1" }
      - name: washer
        quantity: x
last:
`;

test('the place of a value leads back to its path', () => {
  const read = readYaml('f', text);
  if (read.kind !== 'yaml') throw new Error('not sound');
  for (const path of [
    ['name'],
    ['meter', 'first', 'hours'],
    ['tasks', 'engine-oil', 'every', 'months'],
    ['tasks', 'engine-oil', 'parts', 0, 'number'],
    ['tasks', 'engine-oil', 'parts', 1],
    ['tasks', 'engine-oil', 'parts', 1, 'quantity'],
    ['last'],
    [],
  ]) {
    const { line, column } = read.yaml.position(path);
    expect(pathAt(text, line, column), path.join('.')).toEqual(path);
  }
});

test('a place within a value leads to that value, one beyond the text to the whole', () => {
  expect(pathAt(text, 2, 12)).toEqual(['name']);
  expect(pathAt(text, 99, 1)).toEqual([]);
});

test('every value that is written somewhere is found again where it stands', () => {
  const key = fc.stringMatching(/^[a-z]{1,6}$/);
  fc.assert(
    fc.property(
      fc.uniqueArray(fc.tuple(key, key, fc.integer()), { selector: ([outer]) => outer, minLength: 1, maxLength: 5 }),
      (entries) => {
        const written = changeYaml(
          '',
          entries.map(([outer, inner, value]) => ({ path: [outer, inner], value: value satisfies Plain })),
        );
        const read = readYaml('f', written);
        if (read.kind !== 'yaml') throw new Error(written);
        for (const [outer, inner] of entries) {
          const { line, column } = read.yaml.position([outer, inner]);
          expect(pathAt(written, line, column)).toEqual([outer, inner]);
        }
      },
    ),
    { numRuns: 100 },
  );
});
