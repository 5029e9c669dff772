import { mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { parseDay, parseZone } from '../domain/day.js';
import { loadHome } from './load-home.js';
import { initHome } from './write-example.js';

// What people write who never wrote YAML, each into the files as `init` writes them.
let dir = '';
beforeEach(() => {
  dir = join(mkdtempSync(join(tmpdir(), 'shedbell-slips-')), 'shed');
  initHome(dir, { today: parseDay('2026-11-25'), zone: parseZone('Europe/Lisbon') });
});

const files = {
  H: 'household.yaml',
  T: 'machines/hill-tractor.yaml',
  B: 'machines/brush-cutter.yaml',
} as const;

function told(): string[] {
  const read = loadHome(dir, {});
  return read.kind === 'faults' ? read.faults.map(({ line }) => line.replaceAll(`${dir}/`, '')) : [];
}

/** Replaces one piece of a file and answers all faults, `LINE` for the line on which the piece stands. */
function slip(file: keyof typeof files, from: string, to: string): string[] {
  const path = join(dir, files[file]);
  const text = readFileSync(path, 'utf8');
  const at = text.indexOf(from);
  if (at < 0) throw new Error(`the example does not hold ${JSON.stringify(from)}`);
  writeFileSync(path, text.slice(0, at) + to + text.slice(at + from.length));
  const line = text.slice(0, at).split('\n').length;
  return told().map((fault) => fault.replace(`${files[file]}:${line}:`, `${file}:LINE:`));
}

const first = '# first: { hours: 384.2, on: 2027-04-09, about: false }';

describe('one slip is one error, where it is, with what would be right', () => {
  it.each<[keyof typeof files, string, string, string]>([
    [
      'T',
      first,
      'first: { hours: 384,5, on: 2024-05-01 }',
      'T:LINE:19: A comma splits this number in two (found 384,5). Write its decimals behind a point: 384.5.',
    ],
    [
      'T',
      first,
      'first: { on: 2024-05-01, hours: 384,05 }',
      'T:LINE:35: A comma splits this number in two (found 384,05). Write its decimals behind a point: 384.05.',
    ],
    [
      'T',
      first,
      'first: { hours: 1,384.5, on: 2024-05-01 }',
      'T:LINE:19: A comma splits this number in two (found 1,384.5). Write it without a comma: 1384.5.',
    ],
    [
      'T',
      first,
      'first: { hours: about 384, on: 2024-05-01 }',
      'T:LINE:19: These are no hours (found "about 384"). Write a plain number of hours, such as 142.5.',
    ],
    [
      'T',
      '# hoursPerYear: 60',
      'hoursPerYear: 60,5',
      'T:LINE:17: hoursPerYear must be a number (found "60,5"). Write its decimals behind a point: 60.5.',
    ],
    [
      'H',
      'name: Our household',
      'name: "Our household',
      'H:LINE:7: A quote opens here and does not close on this line (found "Our household). Close it: "Our household"',
    ],
    [
      'H',
      '"18:30"',
      '"18:30',
      'H:LINE:10: A quote opens here and does not close on this line (found "18:30). Close it: "18:30"',
    ],
    [
      'T',
      'name: Hill tractor',
      "name: 'Hill tractor",
      "T:LINE:7: A quote opens here and does not close on this line (found 'Hill tractor). Close it: 'Hill tractor'",
    ],
    [
      'B',
      '[two-stroke,',
      "['two-stroke,",
      "B:LINE:7: A quote opens here and does not close on this line (found 'two-stroke). Close it: 'two-stroke'",
    ],
    ['H', '  - id: owner ', '\t- id: owner ', 'H:LINE:1: A tab stands where YAML wants blanks (found "→- id: owner'],
    [
      'H',
      '    name: Owner\n    # mail: owner@example.org',
      '\tname: Owner\n\tmail: owner@example.org',
      'H:LINE:1: A tab stands where YAML wants blanks (found "→name: Owner"). Use spaces: two for each level.',
    ],
    [
      'T',
      '  counts: engine-speed',
      '\tcounts: engine-speed',
      'T:LINE:1: A tab stands where YAML wants blanks (found "→counts:',
    ],
    [
      'B',
      'name: Brush cutter',
      'name Brush cutter',
      'B:LINE:1: A colon is missing behind the key (found "name Brush cutter"). Write name: Brush cutter',
    ],
    [
      'B',
      'meter: none',
      'meter none',
      'B:LINE:1: A colon is missing behind the key (found "meter none"). Write meter: none',
    ],
    [
      'B',
      'meter: none',
      'meter = none',
      'B:LINE:1: A colon is missing behind the key (found "meter = none"). Write meter: none',
    ],
    [
      'B',
      'name: Brush cutter',
      'name:Brush cutter',
      'B:LINE:5: A blank is missing behind the colon (found "name:Brush cutter"). Write name: Brush cutter',
    ],
    [
      'H',
      'units: metric ',
      'units:metric ',
      'H:LINE:6: A blank is missing behind the colon (found "units:metric"). Write units: metric',
    ],
    [
      'T',
      '  season: unknown',
      '  season:unknown',
      'T:LINE:3: A blank is missing behind the colon (found "season:unknown"). Write season: unknown',
    ],
    [
      'B',
      'season: summer',
      'season:summer',
      'B:LINE:29: A blank is missing behind the colon (found "season:summer"). Write season: summer',
    ],
    [
      'H',
      '# address: http://',
      'address:http://',
      'H:LINE:8: A blank is missing behind the colon (found "address:http://shed.local:8377"). Write address: http://shed.local:8377',
    ],
    [
      'H',
      '# daysOff: ',
      'daysOff:\n  -2027-12-24\n# ',
      'household.yaml:43:3: A blank is missing behind the dash (found "-2027-12-24"). Write - 2027-12-24',
    ],
    [
      'H',
      '"18:30"',
      '18.30',
      'H:LINE:10: This is not a time of day (found 18.30). When the notice about tomorrow goes out, such as 18:30.',
    ],
    [
      'H',
      '"18:30"',
      '1830',
      'H:LINE:10: This is not a time of day (found 1830). When the notice about tomorrow goes out, such as 18:30.',
    ],
    [
      'H',
      '"18:30"',
      '"18.30"',
      'H:LINE:10: This is not a time of day (found "18.30"). Write it as hours:minutes, such as 18:30.',
    ],
    [
      'B',
      'season: summer }',
      'season: summer',
      'B:LINE:9: The bracket { opens here and does not close on this line (found "expect: { hoursPerYear: 12, season: summer"). Close it: expect: { hoursPerYear: 12, season: summer }',
    ],
    [
      'B',
      'cutter]',
      'cutter',
      'B:LINE:6: The bracket [ opens here and does not close on this line (found "has: [two-stroke, cutter"). Close it: has: [two-stroke, cutter]',
    ],
    ['B', 'cutter]', 'cutter]]', 'B:LINE:26: The bracket ] closes here, but none is open'],
    [
      'B',
      '12, season',
      '12 season',
      'B:LINE:27: A comma is missing between two entries (found "expect: { hoursPerYear: 12 season: summer }"). Write { hoursPerYear: 12, season: summer }',
    ],
    ['B', '12, season', '12; season', 'B:LINE:27: A comma is missing between two entries'],
    [
      'B',
      '[two-stroke, cutter]',
      'two-stroke, cutter',
      'B:LINE:6: has must be a list (found "two-stroke, cutter"). Put brackets around it: [two-stroke, cutter].',
    ],
    [
      'B',
      'name: Brush cutter',
      'name: Brush cutter: red',
      'B:LINE:7: A second colon stands in this text (found "Brush cutter: red"). Put the text in quotes: name: "Brush cutter: red"',
    ],
    [
      'B',
      'name: Brush cutter',
      'name: #1 cutter',
      'B:LINE:1: name must be a text (found nothing). What stands behind # is a remark: put a text that begins with # in quotes.',
    ],
    [
      'B',
      'name: Brush cutter',
      'name: *cutter',
      'B:LINE:7: A text that begins with * names something else (found "*cutter"). Put the text in quotes.',
    ],
    [
      'B',
      'name: Brush cutter',
      'name:\u00a0Brush cutter',
      'B:LINE:6: A special blank stands here that only looks like one',
    ],
    ['H', '    name: Owner', '\u00a0   name: Owner', 'H:LINE:1: A special blank stands here that only looks like one'],
    [
      'B',
      'meter: none',
      ' meter: none',
      'B:LINE:2: This line is indented differently from its neighbours (found "meter: none"). Begin all keys of one map in the same column: no blank before this one.',
    ],
    [
      'H',
      '    name: Owner',
      '   name: Owner',
      'H:LINE:4: This line is indented differently from its neighbours (found "name: Owner"). Begin all keys of one map in the same column: 4 blanks before this one.',
    ],
    ['T', `  ${first}`, first.replace('#', ''), 'T:LINE:2: This line is indented differently from its neighbours'],
    ['T', '# resting: {', ' resting: {', 'T:LINE:2: This line is indented differently from its neighbours'],
    [
      'T',
      '#   engine-oil: { hours: 320',
      '  engine-oil: { hours: 320',
      'machines/hill-tractor.yaml:47:7: This key has a value, and more keys indented under it (found "last: unknown"). Keep one of them: take out unknown or the lines under it.',
    ],
    [
      'H',
      '# coldest: -12 C',
      'coldest: -12',
      'H:LINE:10: The unit is missing (found -12). Coldest night that you expect, such as -12 C or 10 F',
    ],
  ])('%s: %j as %j', (file, from, to, expected) => {
    expect(slip(file, from, to)).toEqual([expect.stringContaining(expected)]);
  });

  it('a home of another line end tells the same', () => {
    const path = join(dir, files.B);
    writeFileSync(path, readFileSync(path, 'utf8').replace('meter: none', 'meter none').replaceAll('\n', '\r\n'));
    expect(told()).toEqual([expect.stringMatching(/:8:1: A colon is missing behind the key \(found "meter none"\)/)]);
  });

  it('several slips of one file are said at once, each by itself', () => {
    const path = join(dir, files.B);
    const text = readFileSync(path, 'utf8').replace('meter: none', 'meter none').replace('12, season', '12 season');
    writeFileSync(path, text.replace('name: Brush', 'name:Brush'));
    expect(told().map((line) => /yaml:(\d+):\d+: (A \w+)/.exec(line)?.slice(1))).toEqual([
      ['4', 'A blank'],
      ['8', 'A colon'],
      ['9', 'A comma'],
    ]);
  });

  it('a line that might hold a secret is never shown', () => {
    const found = slip('H', '# smtp:', 'smtp: { host: a.b, user: me, passwordFile: "hunter2 }\n#');
    expect(found).toEqual([expect.stringContaining('it is not shown, because it may hold a secret')]);
    expect(found.join()).not.toContain('hunter2');
  });
});

describe('what may be written either way', () => {
  it.each<[keyof typeof files, string, string]>([
    ['H', '"18:30"', '18:30'],
    ['H', 'from: "21:30", to: "07:00"', 'from: 21:30, to: 7:00'],
    ['H', '# frost: { first: "10-20", last: "04-25" }', 'frost: { first: 10-20, last: 04-25 }'],
    ['T', first, 'first: { hours: "384,5", on: 2024-05-01 }'],
    ['T', first, 'first:\n    hours: 384,5\n    on: 2024-05-01'],
    ['T', first, 'first: { hours: 384.5 h, on: 2024-05-01 }'],
    ['B', 'name: Brush cutter', 'name:\tBrush cutter'],
    ['B', 'name: Brush cutter', 'name: "Brush\n  cutter"'],
    ['B', '[two-stroke, cutter]', '[\n  two-stroke,\n  cutter\n]'],
  ])('%s: %j as %j', (file, from, to) => {
    expect(slip(file, from, to)).toEqual([]);
  });
});

describe('a file under another name', () => {
  it.each([
    ['Brush Cutter.yaml', 'cannot serve as an id', 'such as brush-cutter.yaml.'],
    ['brush_cutter.yaml', 'cannot serve as an id', 'such as brush-cutter.yaml.'],
    ['Säge.yaml', 'cannot serve as an id', 'such as sage.yaml.'],
    ['brush-cutter.yml', 'must end in .yaml', 'Rename it to brush-cutter.yaml.'],
    ['brush-cutter.yaml.txt', 'must end in .yaml', 'Rename it to brush-cutter.yaml.'],
  ])('machines/%s', (name, message, remedy) => {
    renameSync(join(dir, files.B), join(dir, 'machines', name));
    const [line, ...more] = told();
    expect(more).toEqual([]);
    expect(line?.normalize()).toMatch(new RegExp(`^machines/${name}: The name of this file ${message} .*${remedy}$`));
  });

  it.each(['household.yml', 'Household.yaml', 'household.yaml.txt'])('%s', (name) => {
    const text = readFileSync(join(dir, files.H));
    rmSync(join(dir, files.H));
    writeFileSync(join(dir, name), text);
    expect(told()).toEqual([
      `${name}: This file must be called household.yaml (found "${name}"). Rename it to household.yaml.`,
    ]);
  });
});
