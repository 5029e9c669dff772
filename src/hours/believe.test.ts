import { describe, expect, test } from 'vitest';
import { atDay, someFacts, someHousehold, someMachine } from '../../tests/stage/small-machine.js';
import { parseZone } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import { believeReading } from './believe.js';
import { gatherEvidence } from './evidence.js';
import { meantBy } from './slips.js';

const facts = someFacts([
  ['2030-04-10', 120.4],
  ['2030-06-08', 127.9],
  ['2030-08-03', 134.2],
  ['2030-10-05', 139.6],
]);
const now = atDay('2030-11-20');
const mower = someMachine([]);
const household = someHousehold();

function judge(hours: number, over: { facts?: MachineFacts; at?: number } = {}) {
  return believeReading(
    mower,
    gatherEvidence(mower, over.facts ?? facts, household.hemisphere),
    household,
    { hours, atMs: over.at ?? now },
    now,
  );
}
function codeOf(hours: number, over: { facts?: MachineFacts; at?: number } = {}): string {
  const belief = judge(hours, over);
  return belief.kind === 'refused' ? belief.fault.code : belief.kind;
}

/** So many days after the fifth of January. */
const dayAt = (days: number) => new Date(Date.UTC(2030, 0, 5 + days)).toISOString().slice(0, 10);

describe('a reading', () => {
  test('in the usual range counts', () => {
    expect(judge(142.5).kind).toBe('believed');
  });

  test('below the last one is refused and names the last one', () => {
    const belief = judge(138);
    expect(belief).toMatchObject({ kind: 'refused', fault: { code: 'reading-below-last' } });
    expect(belief.kind === 'refused' && belief.fault.line).toContain('139.6 h on 2030-10-05');
  });

  test('entered late, above the one that follows it, is refused', () => {
    expect(codeOf(131, { at: atDay('2030-05-10') })).toBe('reading-above-later');
    expect(codeOf(124, { at: atDay('2030-05-10') })).toBe('believed');
  });

  test('of more than 24 h a day is refused, but not for rounding', () => {
    const at = atDay('2030-10-06');
    expect(codeOf(139.6 + 24.1, { at })).not.toBe('reading-too-fast');
    expect(codeOf(139.6 + 24.3, { at })).toBe('reading-too-fast');
  });

  test.each([
    [Number.NaN, 'reading-not-a-number'],
    [Number.POSITIVE_INFINITY, 'reading-not-a-number'],
    [-5, 'reading-negative'],
    [1e308, 'reading-too-large'],
    [1_000_001, 'reading-too-large'],
  ])('of %d is refused: %s', (hours, code) => {
    expect(codeOf(hours)).toBe(code);
  });

  test('from the future is refused, five minutes of clock are not', () => {
    expect(codeOf(142, { at: now + 6 * 60_000 })).toBe('reading-in-future');
    expect(codeOf(142, { at: now + 4 * 60_000 })).toBe('believed');
  });

  test('of a machine without history is believed when it is sane', () => {
    expect(codeOf(9000, { facts: someFacts([]) })).toBe('believed');
  });

  test('for a machine without a meter is refused', () => {
    const saw = someMachine([], { meter: { kind: 'none' } });
    expect(
      believeReading(
        saw,
        gatherEvidence(saw, someFacts([]), household.hemisphere),
        household,
        { hours: 5, atMs: now },
        now,
      ),
    ).toMatchObject({
      fault: { code: 'reading-without-meter' },
    });
  });
});

describe('a jump far outside the forecast', () => {
  test('asks, and finds the missing decimal point', () => {
    expect(judge(1425, { at: now })).toMatchObject({ kind: 'refused' });
    const rarely = someFacts([
      ['2028-04-10', 120.4],
      ['2029-06-08', 127.9],
      ['2030-04-03', 134.2],
      ['2030-06-05', 139.6],
    ]);
    const belief = judge(1425, { facts: rarely });
    expect(belief).toMatchObject({ kind: 'questionable', suggestionHours: 142.5 });
    expect(belief.kind === 'questionable' && belief.question).toContain('Did you mean 142.5 h?');
  });

  test('finds a point in the wrong place and a digit left out', () => {
    expect(meantBy(14.25).map(({ hours }) => hours)).toContain(142.5);
    const belowLast = judge(14.25);
    expect(belowLast.kind === 'refused' && belowLast.fault.line).toContain('Did you mean 142.5 h?');
    const leftOut = judge(12.5);
    expect(leftOut.kind === 'refused' && leftOut.fault.line).toContain('Did you mean 142.5 h?');
  });

  test('finds a wrong or swapped digit', () => {
    expect(judge(241.5)).toMatchObject({ kind: 'questionable', suggestionHours: 141.5 });
    expect(judge(412.5)).toMatchObject({ kind: 'questionable', suggestionHours: 142.5 });
  });

  test('asks without a suggestion where no slip explains it', () => {
    expect(judge(600.5)).toMatchObject({ kind: 'questionable', suggestionHours: null });
  });
});

describe('a reading entered late, between two others', () => {
  const monthly = someFacts(
    ['01', '02', '03', '04', '05', '06', '07', '08', '09', '10', '11'].map((month, i) => [
      `2030-${month}-05`,
      100 + 10 * i + (month > '06' ? 120 : 0),
    ]),
  );

  test('is believed wherever use as before may have brought it', () => {
    for (const hours of [120, 122, 125, 128, 130]) {
      expect(codeOf(hours, { facts: monthly, at: atDay('2030-03-20') })).toBe('believed');
    }
  });

  test('is believed at the hours of a neighbour: the machine may have stood', () => {
    expect(codeOf(150, { facts: monthly, at: atDay('2030-06-20') })).toBe('believed');
    expect(codeOf(280, { facts: monthly, at: atDay('2030-06-20') })).toBe('believed');
  });

  test('is asked about where it is next to impossible, with both neighbours and what was expected', () => {
    const steady = someFacts(
      Array.from({ length: 40 }, (_, i) => [dayAt(i * 7), 100 + 7 * i]).concat([[dayAt(420), 520]]) as [
        string,
        number,
      ][],
    );
    const belief = judge(508.4, { facts: steady, at: atDay(dayAt(290)) });
    expect(belief.kind).toBe('questionable');
    expect(belief.kind === 'questionable' && belief.question).toMatch(
      /^508\.4 h lies between the 373 h of 2030-\d\d-\d\d and the 520 h of 2031-\d\d-\d\d, but I expected \d/,
    );
  });
});

describe('what was probably meant', () => {
  const weeksAgo = someFacts([
    ['2030-10-05', 0],
    ['2030-11-04', 0.4],
  ]);
  const rarelyUsed = someMachine([], { expect: { hoursPerYear: 40, season: 'unknown' } });

  test('a point lost from small hours is asked about within weeks', () => {
    const on = (hours: number) =>
      believeReading(
        rarelyUsed,
        gatherEvidence(rarelyUsed, weeksAgo, household.hemisphere),
        household,
        { hours, atMs: now },
        now,
      );
    expect(on(12)).toMatchObject({ kind: 'questionable', suggestionHours: 1.2 });
    expect(on(1.2).kind).toBe('believed');
  });

  test('is named where the number is refused', () => {
    const tractor = someFacts([
      ['2030-10-05', 630.1],
      ['2030-11-01', 640.9],
    ]);
    const refused = (hours: number) => {
      const belief = believeReading(
        mower,
        gatherEvidence(mower, tractor, household.hemisphere),
        household,
        { hours, atMs: now },
        now,
      );
      return belief.kind === 'refused' ? `${belief.fault.code}: ${belief.fault.remedy}` : belief.kind;
    };
    expect(refused(6412)).toMatch(/^reading-too-fast: Did you mean 641\.2 h\? Look again/);
    expect(refused(64.12)).toMatch(/^reading-below-last: /);
    expect(refused(461.2)).toMatch(/^reading-below-last: Did you mean 641\.2 h\?/);
  });

  const others = () => [{ name: 'Ride-on mower', hoursNow: { p10: 640, p50: 641.5, p90: 645 } }];

  test('may be the meter of another machine', () => {
    const rarely = someFacts([
      ['2029-04-03', 134.2],
      ['2030-06-05', 139.6],
    ]);
    const at = { hours: 641.2, atMs: now };
    const belief = believeReading(
      mower,
      gatherEvidence(mower, rarely, household.hemisphere),
      household,
      at,
      now,
      others,
    );
    expect(belief).toMatchObject({ kind: 'questionable', suggestionHours: null });
    expect(belief.kind === 'questionable' && belief.question).toContain(
      '641.2 h fits Ride-on mower better. Was it read there?',
    );
    const alone = believeReading(mower, gatherEvidence(mower, rarely, household.hemisphere), household, at, now);
    expect(alone.kind === 'questionable' && alone.question).not.toContain('better');
  });

  test('other machines are not looked at while nothing is in doubt', () => {
    const asked = () => {
      throw new Error('looked at');
    };
    expect(
      believeReading(
        mower,
        gatherEvidence(mower, facts, household.hemisphere),
        household,
        { hours: 142.5, atMs: now },
        now,
        asked,
      ).kind,
    ).toBe('believed');
  });

  test('may hold the hours of the meter before', () => {
    const changes = [{ atMs: atDay('2030-06-20'), lastHours: 812.3, firstHours: 0 }];
    const machine = someMachine([], { meter: { kind: 'meter', counts: 'clock', changes } });
    const known = someFacts([
      ['2029-04-10', 790],
      ['2030-06-20', 812.3],
      ['2030-08-03', 3.1],
    ]);
    const belief = believeReading(
      machine,
      gatherEvidence(machine, known, household.hemisphere),
      household,
      { hours: 820.2, atMs: now },
      now,
    );
    expect(belief).toMatchObject({ kind: 'questionable', suggestionHours: 7.9 });
    expect(belief.kind === 'questionable' && belief.question).toContain('without the hours of the meter before');
  });
});

describe('two readings of one day', () => {
  const read = (hours: number, later: number, minutes = 10) => {
    const first = { ...facts, readings: facts.readings.map((one, i) => (i === 3 ? { ...one, hours } : one)) };
    return codeOf(later, { facts: first, at: atDay('2030-10-05') + minutes * 60_000 });
  };

  test('may differ by what the meter rounds', () => {
    expect(read(641.2, 641.4)).toBe('believed');
    expect(read(641.2, 641.3)).toBe('believed');
    expect(read(641, 642)).toBe('believed');
  });

  test('and by no more', () => {
    expect(read(641.2, 641.7)).toBe('reading-too-fast');
    expect(read(641, 643)).toBe('reading-too-fast');
  });
});

test('days are those of the household', () => {
  const late = { ...facts, readings: facts.readings.map((one) => ({ ...one, atMs: one.atMs + 11 * 3_600_000 })) };
  const far = someHousehold({ zone: parseZone('Pacific/Auckland') });
  const belief = believeReading(
    mower,
    gatherEvidence(mower, late, far.hemisphere),
    far,
    { hours: 100, atMs: now },
    now,
  );
  expect(belief.kind === 'refused' && belief.fault.line).toContain('on 2030-10-06');
});

describe('slips of the hand', () => {
  const meant = (hours: number) => meantBy(hours).map((candidate) => candidate.hours);

  test('cover a lost point, swapped, doubled and lost digits, and one wrong digit', () => {
    expect(meant(1425)).toContain(142.5);
    expect(meant(124.5)).toContain(142.5);
    expect(meant(1442.5)).toContain(142.5);
    expect(meant(14.5)).toContain(144.5);
    expect(meant(192.5)).toContain(142.5);
  });

  test('never offer the number itself, nor one twice', () => {
    for (const hours of [0, 7, 100, 111.1, 1425, 99999.9]) {
      expect(meant(hours)).not.toContain(hours);
      expect(new Set(meant(hours)).size).toBe(meant(hours).length);
    }
  });
});
