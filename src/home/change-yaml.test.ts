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
  // Deep and long ones too, which take lines of their own.
  const { value } = fc.letrec<{ value: Plain }>((tie) => ({
    value: fc.oneof(
      { maxDepth: 4 },
      scalar,
      fc.constant('so long that with a few others beside it no line could hold them all'),
      fc.array(tie('value'), { minLength: 1, maxLength: 3 }),
      fc.dictionary(key, tie('value'), { minKeys: 1, maxKeys: 3 }),
    ),
  }));
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

test('a list of lines with other items keeps the lines of those that stay, and all remarks on lines of their own', () => {
  const home = `workingDays:   # when we are here
  # never on market day
  - sat   # the best
  # only in the morning
  - sun   # after church
  - mon   # a day off
# -- people --
people: []
`;
  expect(
    changeYaml(home, [{ path: ['workingDays'], value: ['fri', 'sat', 'mon'] }]),
  ).toBe(`workingDays:   # when we are here
  # never on market day
  - fri
  - sat   # the best
  # only in the morning
  - mon   # a day off
# -- people --
people: []
`);
});

test('a list in brackets over several lines keeps its remarks above it', () => {
  const home = `people:
  - id: ann
    # what she wants to hear
    kinds: [   # for now
      parts, # she buys
      work,
    ]   # that is all
`;
  expect(changeYaml(home, [{ path: ['people', 0, 'kinds'], value: ['work'] }])).toBe(`people:
  - id: ann
    # what she wants to hear
    # for now
    # she buys
    kinds: [work]   # that is all
`);
});

test('what is taken out leaves the remarks that have lines of their own within it, and takes those behind its values', () => {
  const home = `people:
  - id: ann   # the owner
    # mail: ann@example.org
    name: Ann
  - id: bo
    name: Bo
`;
  expect(changeYaml(home, [{ path: ['people', 0], value: undefined }])).toBe(`people:
  # mail: ann@example.org
  - id: bo
    name: Bo
`);
});

test('what is too long or too deep for a line is written on lines of its own, as a person would', () => {
  const job = {
    every: { hours: 120, months: 12 },
    fluids: [{ name: 'engine oil', quantity: '5.1 L', choices: [{ grade: '10W-30', coldest: 'any' }] }],
    steps: [
      'Let it drain for ten minutes with the cap off',
      { do: 'Set it', where: 'left side', needs: { engine: 'cold' } },
    ],
  };
  const block = `
  engine-oil:
    every: { hours: 120, months: 12 }
    fluids:
      - name: engine oil
        quantity: 5.1 L
        choices: [{ grade: 10W-30, coldest: any }]
    steps:
      - Let it drain for ten minutes with the cap off
      - { do: Set it, where: left side, needs: { engine: cold } }
`;
  const path = ['tasks', 'engine-oil'];
  expect(changeYaml('name: A\n', [{ path, value: job }])).toBe(`name: A\ntasks:${block}`);
  expect(changeYaml('name: A\ntasks: # ours\n# end\n', [{ path, value: job }])).toBe(
    `name: A\ntasks: # ours${block}# end\n`,
  );
  // A map in braces that grows past its line is opened, and keeps the remark behind it.
  expect(changeYaml('tasks: { a: { minutes: 5 } } # ours\nlast: unknown\n', [{ path, value: job }])).toBe(
    `tasks: # ours\n  a: { minutes: 5 }${block}last: unknown\n`,
  );
});

test('a file whose lines end as on another system goes on so', () => {
  const other = machine.replaceAll('\n', '\r\n');
  const changes = [
    { path: ['name'], value: 'Orchard mower' },
    { path: ['meter'], value: 'none' },
    { path: ['tasks', 'blades', 'steps'], value: ['Look', 'Turn'] },
    { path: ['since'], value: '2027-04-09' },
  ];
  expect(changeYaml(other, changes)).toBe(changeYaml(machine, changes).replaceAll('\n', '\r\n'));
});

type Path = readonly (string | number)[];

/** A file with a remark at every place where one can stand, each told apart by a number; those behind a value know whose they are. */
function remarkedFile(picks: readonly boolean[]) {
  let count = 0;
  const own: string[] = [];
  const behindValues: { readonly remark: string; readonly path: Path }[] = [];
  const wants = () => {
    count += 1;
    return picks[count % picks.length] ?? false;
  };
  const above = (indent: string) => {
    if (!wants()) return '';
    own.push(`# own ${count}.`);
    return `${indent}# own ${count}.\n`;
  };
  const behind = (...path: Path) => {
    if (!wants()) return '';
    behindValues.push({ remark: `# of ${count}.`, path });
    return ` # of ${count}.`;
  };
  const items = (list: Path, indent: string, values: readonly string[]) =>
    values.map((value, index) => `${above(indent)}${indent}- ${value}${behind(...list, index)}\n`).join('');
  const person = (id: string, at: number) =>
    [
      `${above('  ')}  - id: ${id}${behind('people', at, 'id')}\n${above('    ')}`,
      `    kinds:${behind('people', at, 'kinds')}\n${items(['people', at, 'kinds'], '      ', ['work', 'late'])}${above('    ')}`,
      `    ways: { mail: [work],${behind('people', at, 'ways')}\n      push: [late] }${behind('people', at, 'ways')}\n`,
    ].join('');
  const text = [
    `${above('')}name: Larch Bank${behind('name')}\n`,
    `${above('')}days:${behind('days')}\n${items(['days'], '  ', ['sat', 'sun', '-5', '"a # b"'])}`,
    `${above('')}flush:${behind('flush')}\n${items(['flush'], '', ['x', 'y'])}`,
    `${above('')}flow: [${behind('flow')}\n${above('  ')}  1,${behind('flow')}\n  2${behind('flow')}\n${above('  ')}]${behind('flow')}\n`,
    `${above('')}meter:${behind('meter')}\n${above('  ')}  first:${behind('meter', 'first')}\n${above('    ')}`,
    `    hours: 3${behind('meter', 'first', 'hours')}\n${above('    ')}    on: 2026-04-11${behind('meter', 'first', 'on')}\n`,
    `${above('')}text: |${behind('text')}\n  # no remark\n  two\n`,
    `${above('')}people:${behind('people')}\n${person('ann', 0)}${person('bo', 1)}${above('')}`,
  ].join('');
  return { text, own, behindValues };
}

test('every remark of a file before is there after, but for those behind a value that is gone (any change, any place)', () => {
  const list = fc.uniqueArray(fc.constantFrom<Plain>('sat', 'sun', -5, 'a # b', 'x', 'y', 'new', 'work', 'late'), {
    minLength: 1,
    maxLength: 4,
  });
  const value = fc.option(fc.oneof(list, fc.constantFrom<Plain>('word', 7, { mail: ['late'] })), { nil: undefined });
  const paths: readonly Path[] = [
    ['name'],
    ['days'],
    ['days', 1],
    ['flush'],
    ['flow'],
    ['flow', 0],
    ['meter'],
    ['meter', 'first'],
    ['meter', 'first', 'hours'],
    ['text'],
    ['people', 0],
    ['people', 1],
    ['people', 0, 'kinds'],
    ['people', 1, 'kinds', 0],
    ['people', 0, 'ways'],
    ['people', 1, 'ways', 'mail'],
    ['people', 0, 'mail'],
    ['new', 'key'],
  ];
  const picks = fc.array(fc.boolean(), { minLength: 5, maxLength: 23 });
  fc.assert(
    fc.property(picks, fc.constantFrom(...paths), value, (wanted, at, to) => {
      const { text, own, behindValues } = remarkedFile(wanted);
      const before: unknown = parse(text);
      const after = changeYaml(text, [{ path: at, value: to }]);
      for (const remark of own) expect(after).toContain(`${remark}\n`);
      for (const { remark, path } of behindValues) {
        const isUnder = at.every((step, index) => path[index] === step);
        const isAbove = path.every((step, index) => at[index] === step);
        const isItem = isUnder && path.length === at.length + 1 && typeof path.at(-1) === 'number';
        const isGone =
          // Taken out, or with it what held nothing else.
          (to === undefined && (isUnder || (isAbove && valueIn(parse(after), path) === undefined))) ||
          // An item that the new list no longer has.
          (Array.isArray(to) && isItem && !to.includes(valueIn(before, path) as Plain));
        if (!isGone) expect(after).toContain(`${remark}\n`);
      }
    }),
    { numRuns: 300 },
  );
});

function valueIn(value: unknown, path: Path): unknown {
  return path.reduce<unknown>(
    (inner, step) =>
      typeof inner === 'object' && inner !== null ? (inner as Record<string | number, unknown>)[step] : undefined,
    value,
  );
}
