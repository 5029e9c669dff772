import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import type { Plain } from '../domain/home-change.js';
import { changeYaml } from './change-yaml.js';

const machine = `# A mower of our own.
name: Paddock mower   # as we call it
plan: library:ride-on-petrol-mower

# hours
meter:
  counts: clock       # an hour is an hour
  # first: { hours: 3, on: 2026-04-11 }
expect: { hoursPerYear: 40, season: summer }   # a guess
tasks:
  engine-oil:
    every: { hours: 50 }   # from the manual
  blades:
    every: { hours: 25 }
last: unknown
# the end
`;

test('a value changes where it stands, and every remark stays', () => {
  const text = changeYaml(machine, [
    { path: ['name'], value: 'Orchard mower' },
    { path: ['expect', 'hoursPerYear'], value: 35 },
    { path: ['tasks', 'engine-oil', 'every', 'hours'], value: 60 },
  ]);
  expect(text).toBe(
    machine
      .replace('Paddock mower', 'Orchard mower')
      .replace('hoursPerYear: 40', 'hoursPerYear: 35')
      .replace('{ hours: 50 }', '{ hours: 60 }'),
  );
});

test('a new key comes last in its map, a key of the file on its last line', () => {
  const text = changeYaml(machine, [
    { path: ['meter', 'first'], value: { hours: 3.5, on: '2026-04-11' } },
    { path: ['tasks', 'blades', 'minutes'], value: 30 },
    { path: ['resting', 'from'], value: '2026-11-15' },
  ]);
  expect(text).toBe(
    `${machine
      .replace('an hour is an hour\n', 'an hour is an hour\n  first: { hours: 3.5, on: 2026-04-11 }\n')
      .replace(
        '    every: { hours: 25 }\n',
        '    every: { hours: 25 }\n    minutes: 30\n',
      )}resting: { from: 2026-11-15 }\n`,
  );
});

test('a key that is taken out takes its line with it, and a map that held nothing else', () => {
  const text = changeYaml(machine, [
    { path: ['last'], value: undefined },
    { path: ['tasks', 'blades', 'every'], value: undefined },
    { path: ['expect', 'season'], value: undefined },
    { path: ['not', 'there'], value: undefined },
  ]);
  expect(text).toBe(
    machine
      .replace('last: unknown\n', '')
      .replace('  blades:\n    every: { hours: 25 }\n', '')
      .replace('hoursPerYear: 40, season: summer', 'hoursPerYear: 40'),
  );
});

test('a list takes another item, changes one, and loses one', () => {
  const home = `people:\n  - id: ann     # the owner\n    name: Ann\n  - id: bo\n    name: Bo\nname: Home\n`;
  const more = changeYaml(home, [{ path: ['people', 2], value: { id: 'cy', name: 'Cy: the third' } }]);
  expect(more).toBe(home.replace('    name: Bo\n', '    name: Bo\n  - { id: cy, name: "Cy: the third" }\n'));
  expect(changeYaml(home, [{ path: ['people', 0, 'mail'], value: 'ann@example.org' }])).toBe(
    home.replace('    name: Ann\n', '    name: Ann\n    mail: ann@example.org\n'),
  );
  expect(changeYaml(home, [{ path: ['people', 0], value: undefined }])).toBe(
    home.replace('  - id: ann     # the owner\n    name: Ann\n', ''),
  );
});

test('what is taken out leaves the remarks that stand before the next key', () => {
  const home =
    'people:\n  - id: ann\n    name: Ann\n    # mail: a@x\n\n# -- When --\n# remark on days\nworkingDays: [sat]\n';
  expect(changeYaml(home, [{ path: ['people', 0], value: undefined }])).toContain(
    '\n# -- When --\n# remark on days\nworkingDays: [sat]\n',
  );
  const meter = 'meter:\n  first:\n    hours: 3\n    # about: true\n\n# -- Expect --\nexpect: { season: summer }\n';
  expect(changeYaml(meter, [{ path: ['meter', 'first', 'hours'], value: undefined }])).toContain(
    '# -- Expect --\nexpect',
  );
});

test('what stands as a word becomes a map, and a block one line', () => {
  expect(changeYaml('meter: none # yet\nx: 1\n', [{ path: ['meter', 'counts'], value: 'clock' }])).toBe(
    'meter: { counts: clock } # yet\nx: 1\n',
  );
  expect(changeYaml('last: # old\n  a: unknown\n  b: unknown\nx: 1\n', [{ path: ['last'], value: 'unknown' }])).toBe(
    'last: unknown # old\nx: 1\n',
  );
  expect(changeYaml('expect:\n# season: summer\n', [{ path: ['expect', 'season'], value: 'winter' }])).toContain(
    'expect: { season: winter }',
  );
});

test('whatever is changed reads back as changed, with all remarks kept', () => {
  const key = fc.constantFrom('a', 'b', 'c', 'name', 'two words', 'x: y');
  const scalar = fc.oneof(
    fc.integer(),
    fc.boolean(),
    fc.constantFrom(
      'no',
      '1',
      '2026-04-11',
      '10-20',
      '# not a remark',
      'a, b',
      "it's",
      '"',
      '- x',
      'ü “x”',
      'a\nb',
      '',
    ),
    fc.string({ maxLength: 12 }).filter((text) => !/[^\x20-\x7e]/.test(text)),
  );
  const value: fc.Arbitrary<Plain> = fc.oneof(
    scalar,
    fc.array(scalar, { minLength: 1, maxLength: 3 }),
    fc.dictionary(key, scalar, { minKeys: 1, maxKeys: 3 }),
  );
  const change = fc.record({
    path: fc.array(key, { minLength: 1, maxLength: 3 }),
    value: fc.option(value, { nil: undefined }),
  });
  const start = '# top\na: 1 # one\nb:\n  c: x # two\n  a:\n    b: { c: 1 }\nname: [1, 2] # three\n# end\n';
  fc.assert(
    fc.property(fc.array(change, { minLength: 1, maxLength: 4 }), (changes) => {
      const text = changeYaml(start, changes);
      expect(text).toContain('# top\n');
      expect(text).toContain('# end\n');
      // What is read back was compared inside; a second look at the same change moves nothing.
      const again = changes.at(-1);
      if (again !== undefined) expect(parse(changeYaml(text, [again])) ?? {}).toEqual(parse(text) ?? {});
    }),
    { numRuns: 1000 },
  );
});
