import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import type { Witness } from './check-witness.js';
import { loadHome } from './load-home.js';

let dir = '';
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'shedbell-witness-'));
  mkdirSync(join(dir, 'machines'));
  mkdirSync(join(dir, 'plans'));
  writeFileSync(
    join(dir, 'plans', 'test.yaml'),
    'title: T\ntasks:\n  - { id: oil, title: Oil, every: { hours: 50 } }\n',
  );
});

const noon = (day: string) => Date.parse(`${day}T12:00:00Z`);
const on = (day: string, readings: readonly (readonly [string, number])[] = []): Witness => ({
  nowMs: () => noon(day),
  readings: (machine) => (machine === 'mower' ? readings.map(([at, hours]) => ({ atMs: noon(at), hours })) : []),
});

/** The line of every fault, from the name of the file on. */
function told(text: string, witness: Witness | null, householdText = ''): string[] {
  writeFileSync(join(dir, 'household.yaml'), `name: A\ntimezone: UTC\n${householdText}`);
  writeFileSync(join(dir, 'machines', 'mower.yaml'), `name: Mower\nplan: test\n${text}\n`);
  const read = loadHome(dir, {}, witness);
  return read.kind === 'faults' ? read.faults.map(({ line }) => line.replaceAll(/\S*\/(?=\w+\.yaml)/g, '')) : [];
}

describe('a day of something seen or done that lies years ahead', () => {
  const today = on('2027-04-09');

  it.each([
    ['since: 2062-04-09', '3:8', '2062-04-09', 'Write the day on which the machine came'],
    ['meter: { first: { hours: 3, on: 2062-08-01 } }', '3:33', '2062-08-01', 'Write the day on which somebody read'],
    [
      'since: 2027-01-01\nmeter: { replaced: [{ on: 2062-08-01, last: 9 }] }',
      '4:27',
      '2062-08-01',
      'Write the day on which the meter was replaced or began anew.',
    ],
    ['since: 2027-01-01\nlast: { oil: { day: 2062-08-01 } }', '4:21', '2062-08-01', 'Write the day on which it was'],
  ])('%s is refused at its place, with today beside it', (text, place, found, remedy) => {
    expect(told(text, today)).toEqual([
      expect.stringContaining(
        `mower.yaml:${place}: This day lies years ahead: today is 2027-04-09 (found "${found}"). ${remedy}`,
      ),
    ]);
  });

  it('is fine where it may be a clock that is behind, or a machine still to come', () => {
    expect(told('since: 2031-04-10', today)).toEqual([]);
    expect(told('since: 2036-04-11', today)).toHaveLength(1);
  });

  it('is not judged where the clock cannot be believed', () => {
    expect(told('since: 2062-04-09', null)).toEqual([]);
    expect(told('since: 2062-04-09', { nowMs: () => null, readings: () => [] })).toEqual([]);
  });

  it('may lie ahead where it is a plan: a rest, days off', () => {
    const off = 'daysOff: [{ from: 2027-12-01, to: 2028-01-09 }]\n';
    expect(told('since: 2027-01-01\nresting: { from: 2027-11-01, until: 2028-03-01 }', today, off)).toEqual([]);
  });
});

describe('a meter value that readings contradict', () => {
  const orUndo = 'If the reading was a slip, take it back: shedbell undo, with its id from shedbell export.';
  const readings = [
    ['2027-02-01', 380],
    ['2027-03-01', 384.6],
    ['2027-03-20', 2],
  ] as const;
  const changed = (change: string) =>
    told(`since: 2027-01-01\nmeter: { replaced: [${change}] }`, on('2027-04-09', readings));

  it('a change that fits is fine, a tenth of rounding too', () => {
    expect(changed('{ on: 2027-03-10, last: 385 }')).toEqual([]);
    expect(changed('{ on: 2027-03-10, last: 384.5 }')).toEqual([]);
  });

  it('an old meter that stopped below an earlier reading of it', () => {
    expect(changed('{ on: 2027-03-10, last: 383 }')).toEqual([
      `mower.yaml:4:45: The old meter cannot have stopped here: on 2027-03-01 it was read at 384.6 h (found "383 h"). Write what the old meter showed last, or correct the day on:. ${orUndo}`,
    ]);
  });

  it('a change before readings that can only be of the old meter', () => {
    expect(changed('{ on: 2027-02-20, last: 383 }')).toEqual([
      `mower.yaml:4:27: The new meter began at 0 h, but on 2027-03-01 it was read at 384.6 h, as the old one may have been (found "2027-02-20"). Write a day after 2027-03-01, or correct what the new meter showed first. ${orUndo}`,
    ]);
  });

  it('a new meter that began above a later reading of it', () => {
    expect(changed('{ on: 2027-03-10, last: 385, first: 12 }')).toEqual([
      `mower.yaml:4:57: The new meter cannot have begun at 12 h: on 2027-03-20 it was read at 2 h (found "2027-03-10"). Correct on, or what the new meter showed first. ${orUndo}`,
    ]);
  });

  it('each meter is held against its own readings only', () => {
    const more = [...readings, ['2027-03-30', 7], ['2027-04-05', 1]] as const;
    const two = 'meter: { replaced: [{ on: 2027-03-10, last: 385 }, { on: 2027-04-01, last: 8 }] }';
    expect(told(`since: 2027-01-01\n${two}`, on('2027-04-09', more))).toEqual([]);
    expect(told(`since: 2027-01-01\n${two.replace('last: 8', 'last: 6')}`, on('2027-04-09', more))).toHaveLength(1);
  });

  it('a first value above a later reading, unless it is only roughly known', () => {
    const first = (keys: string) => `meter: { first: { hours: 390, on: 2027-01-15${keys} } }`;
    const seen = on('2027-04-09', [['2027-02-01', 380]]);
    expect(told(first(''), seen)).toEqual([
      `mower.yaml:3:26: The meter cannot have shown this on 2027-01-15: on 2027-02-01 it was read at 380 h (found "390 h"). Correct hours or on; where it is only roughly known, add about: true. ${orUndo}`,
    ]);
    expect(told(first(', about: true'), seen)).toEqual([]);
    expect(told(first(''), on('2027-04-09', [['2027-01-15', 389.5]]))).toEqual([]);
  });
});

describe('a span that is years long is a mistyped year', () => {
  it('a rest', () => {
    expect(told('since: 2027-01-01\nresting: { from: 2027-11-01, until: 2072-03-01 }', null)).toEqual([
      'mower.yaml:4:37: It would rest for more than 3 years (from 2027-11-01) (found "2072-03-01"). Correct the year, or leave until: out: then it rests until you take resting: out.',
    ]);
    expect(told('since: 2027-01-01\nresting: { from: 2027-11-01 }', null)).toEqual([]);
  });

  it('days off', () => {
    expect(told('since: 2027-01-01', null, 'daysOff: [{ from: 2027-07-01, to: 2072-07-20 }]\n')).toEqual([
      'household.yaml:3:35: Nobody would work on machines for more than 3 years (from 2027-07-01) (found 2072-07-20). Correct the year.',
    ]);
  });
});
