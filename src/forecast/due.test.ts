import { describe, expect, test } from 'vitest';
import { aDay, atDay, someFacts, someHousehold, someMachine, someTask } from '../../tests/stage/small-machine.js';
import { addDays, daysBetween } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import { estimateHours } from '../hours/estimate.js';
import { gatherEvidence } from '../hours/evidence.js';
import { curveAt } from './curve.js';
import { forecastDues } from './due.js';

const now = '2031-09-10';
const monthly = (perMonth: number, months = 20): [string, number][] =>
  Array.from({ length: months }, (_, i) => [
    `${2030 + Math.floor(i / 12)}-${String((i % 12) + 1).padStart(2, '0')}-06`,
    100 + i * perMonth,
  ]);

function dues(machine: Machine, facts: MachineFacts, household: Household = someHousehold(), day = now): Due[] {
  const estimate = estimateHours(gatherEvidence(machine, facts, household.hemisphere), atDay(day));
  return forecastDues(machine, facts, estimate, household, atDay(day));
}

function due(machine: Machine, facts: MachineFacts, household?: Household): Due {
  const [only] = dues(machine, facts, household);
  if (only === undefined) throw new Error('no task');
  return only;
}

describe('when a task comes due', () => {
  const oil = someTask('oil', { every: { hours: 60, months: 24 } });
  const facts = someFacts(monthly(5), [['2031-06-10', 185, ['oil']]]);

  test('hours count from the hours at which it was last done', () => {
    const one = due(someMachine([oil]), facts);
    expect(one).toMatchObject({
      limit: 'hours',
      targetHours: 245,
      intervalHours: 60,
      toleranceHours: 6,
      lastDay: '2031-06-10',
      cycle: 1,
    });
    // 195 h on 6 August at 5 h a month: 50 h to go are ten months.
    expect(daysBetween(aDay(now), one.day?.p50 ?? aDay(now))).toBeGreaterThan(180);
    expect(daysBetween(aDay(now), one.day?.p50 ?? aDay(now))).toBeLessThan(360);
  });

  test('the calendar cuts the hours off: after its day the chance is 1, the day before it is not', () => {
    const one = due(someMachine([someTask('oil', { every: { hours: 60, months: 6 } })]), facts);
    expect(one.limit).toBe('months');
    expect(one.calendarDay).toBe('2031-12-10');
    expect(one.day?.p90).toBe('2031-12-10');
    expect(curveAt(one.curve ?? { from: aDay(now), offsets: [], p: [] }, aDay('2031-12-10'))).toBe(1);
    expect(curveAt(one.curve ?? { from: aDay(now), offsets: [], p: [] }, aDay('2031-12-09'))).toBeLessThan(0.5);
  });

  test('being late comes after being due: by a tenth of the hours, by a tenth of the months', () => {
    const one = due(someMachine([someTask('oil', { every: { hours: 60, months: 6 } })]), facts);
    const lateCurve = one.lateCurve ?? { from: aDay(now), offsets: [], p: [] };
    expect(curveAt(lateCurve, aDay('2031-12-10'))).toBeLessThan(1);
    expect(curveAt(lateCurve, addDays(aDay('2031-12-10'), 18))).toBe(1);
    for (let days = 0; days < 400; days += 1) {
      const day = addDays(aDay(now), days);
      expect(curveAt(lateCurve, day)).toBeLessThanOrEqual(curveAt(one.curve ?? lateCurve, day) + 1e-12);
    }
  });

  test('an overdue task says on which days it came due, between the readings around them', () => {
    const one = due(
      someMachine([someTask('oil', { every: { hours: 20 } })]),
      someFacts(monthly(5), [['2030-03-06', 110, ['oil']]]),
    );
    expect(one.targetHours).toBe(130);
    expect((one.day?.p10 ?? '') >= '2030-06-06' && (one.day?.p90 ?? '') <= '2030-07-07').toBe(true);
    expect(curveAt(one.curve ?? { from: aDay(now), offsets: [], p: [] }, aDay(now))).toBe(1);
  });

  test('the three days are in order and curves never fall, whatever the limits', () => {
    const tasks = [5, 20, 60, 250, 1000].flatMap((hours) =>
      [3, 12, 48].map((months) => someTask(`t${hours}-${months}`, { every: { hours, months } })),
    );
    for (const one of dues(someMachine(tasks), facts)) {
      const day = one.day;
      if (day === null) continue;
      expect(day.p10 <= day.p50 && day.p50 <= day.p90).toBe(true);
      for (const curve of [one.curve, one.lateCurve]) {
        curve?.p.forEach((p, i) => {
          expect(p).toBeGreaterThanOrEqual(curve.p[i - 1] ?? 0);
        });
        curve?.offsets.forEach((offset, i) => {
          expect(offset).toBeGreaterThan(curve.offsets[i - 1] ?? -1);
        });
      }
    }
  });

  test('soonest comes first, tasks without a day last', () => {
    const list = dues(
      someMachine([
        someTask('look', { every: 'use' }),
        someTask('far', { every: { months: 30 } }),
        someTask('near', { every: { months: 21 } }),
      ]),
      facts,
    );
    expect(list.map((one) => one.task)).toEqual(['near', 'far', 'look']);
  });

  test('a target ten years away has no day', () => {
    expect(due(someMachine([someTask('frame', { every: { hours: 9000 } })]), facts).day).toBeNull();
  });
});

describe('what starts an interval', () => {
  const oil = someTask('oil', { every: { hours: 60 } });

  test('a task that counts as another resets it', () => {
    const look = someTask('look', { every: { hours: 10 } });
    const machine = someMachine([someTask('oil', { every: { hours: 60 }, countsAs: ['look'] }), look]);
    const one = dues(machine, someFacts(monthly(5), [['2031-06-10', 185, ['oil']]])).find(
      (each) => each.task === 'look',
    );
    expect(one).toMatchObject({ targetHours: 195, cycle: 1 });
  });

  test('leaving it out this time starts it anew', () => {
    const facts: MachineFacts = {
      ...someFacts(monthly(5)),
      answers: [{ kind: 'leave-out', tasks: ['oil'], day: aDay('2031-07-01'), hours: 190, atMs: atDay('2031-07-01') }],
    };
    // Nobody read the meter on 1 July: between the readings of June and July, 185 and 190 h.
    const one = due(someMachine([oil]), facts);
    expect(one).toMatchObject({ cycle: 1, countedFrom: { atMs: atDay('2031-07-01') } });
    expect(one.targetHours).toBeGreaterThan(245);
    expect(one.targetHours).toBeLessThanOrEqual(250);
  });

  test('what nobody knows is due for getting to know the machine, today and never late', () => {
    const one = due(someMachine([oil], { last: { oil: { kind: 'unknown' } } }), someFacts(monthly(5)));
    expect(one).toMatchObject({ unknownLast: true, day: { p10: now, p50: now, p90: now }, targetHours: null });
    expect(one.lateCurve?.p).toEqual([0]);
  });

  test('fine as bought counts from the first hours and the day the machine came', () => {
    const one = due(someMachine([oil], { last: { oil: { kind: 'fine-as-bought' } } }), someFacts(monthly(5)));
    expect(one).toMatchObject({ targetHours: 160, lastDay: '2030-01-05', unknownLast: false });
  });

  test.each([
    { hemisphere: 'north', since: '2031-07-01', frost: { first: '10-12', last: '04-30' }, by: '2031-09-12' },
    { hemisphere: 'south', since: '2031-01-10', frost: { first: '04-20', last: '10-15' }, by: '2031-03-21' },
  ] as const)('fine as bought in a summer of the $hemisphere leaves the coming winter to be prepared', (one) => {
    const coolant = someTask('coolant', { season: { before: 'first-frost', days: 30 } });
    const machine = someMachine([coolant], { since: aDay(one.since), last: { coolant: { kind: 'fine-as-bought' } } });
    const [first] = dues(machine, someFacts([[one.since, 5]]), someHousehold(one), one.since);
    expect(first).toMatchObject({ limit: 'season', calendarDay: one.by, lastDay: null });
  });

  test('hours on an old meter are carried over to the new one', () => {
    const changes = [{ atMs: atDay('2031-07-15'), lastHours: 191, firstHours: 0 }];
    const machine = someMachine([oil], { meter: { kind: 'meter', counts: 'clock', changes } });
    const one = due(machine, someFacts([...monthly(5, 18), ['2031-08-20', 6]], [['2031-06-10', 185, ['oil']]]));
    expect(one.targetHours).toBe(54);
  });
});

describe('break-in', () => {
  const oil = someTask('oil', { every: { hours: 150 }, first: { hours: 30 } });

  test('holds for a machine that came new', () => {
    expect(
      due(
        someMachine([oil]),
        someFacts([
          ['2031-08-01', 2],
          ['2031-09-01', 9],
        ]),
      ),
    ).toMatchObject({ limit: 'break-in', targetHours: 30, intervalHours: 30 });
  });

  const fine = { last: { oil: { kind: 'fine-as-bought' } } } as const;

  test('is not sworn away by fine-as-bought while the machine came below its limit', () => {
    const [came, later] = [['2031-08-01', 10] as const, ['2031-09-01', 19] as const];
    expect(due(someMachine([oil], fine), someFacts([[...came], [...later]]))).toMatchObject({
      limit: 'break-in',
      targetHours: 30,
      lastDay: null,
    });
  });

  test('is past for a machine bought fine at its limit or above, and where no meter tells its age', () => {
    expect(due(someMachine([oil], fine), someFacts([['2031-09-01', 30]]))).toMatchObject({ targetHours: 180 });
    const meterless = someMachine([oil], { ...fine, meter: { kind: 'none' } });
    expect(due(meterless, someFacts([['2031-09-01', 5]]))).toMatchObject({ targetHours: 150 });
    const told = someMachine([oil], { last: { oil: { kind: 'done', hours: 8, day: aDay('2031-08-01') } } });
    expect(due(told, someFacts([['2031-09-01', 9]]))).toMatchObject({ targetHours: 158 });
  });

  test('is past for one that came with more hours, and once done', () => {
    expect(due(someMachine([oil]), someFacts([['2031-09-01', 80]]))).toMatchObject({
      limit: 'hours',
      targetHours: 230,
    });
    const done = someFacts(
      [
        ['2031-08-01', 2],
        ['2031-09-01', 29],
      ],
      [['2031-09-01', 29, ['oil']]],
    );
    expect(due(someMachine([oil]), done)).toMatchObject({ limit: 'hours', targetHours: 179 });
  });
});

describe('seasons', () => {
  const shed = someTask('winter-ready', { season: { before: 'first-frost', days: 21 } });

  test("hang on the household's frost", () => {
    const one = due(
      someMachine([shed]),
      someFacts([], [['2030-10-02', null, ['winter-ready']]]),
      someHousehold({ frost: { first: '10-20' } }),
    );
    expect(one).toMatchObject({
      limit: 'season',
      calendarDay: '2031-09-29',
      day: { p10: '2031-09-29', p50: '2031-09-29', p90: '2031-09-29' },
    });
  });

  test('done a few weeks early counts for the coming frost', () => {
    const one = due(
      someMachine([shed]),
      someFacts([], [['2031-09-01', null, ['winter-ready']]]),
      someHousehold({ frost: { first: '10-20' } }),
    );
    expect(one.calendarDay).toBe('2032-09-29');
  });

  test('turn round in the south, and a leap day is the 28th elsewhere', () => {
    const facts = someFacts([], [['2031-01-15', null, ['winter-ready', 'leap']]]);
    expect(due(someMachine([shed]), facts, someHousehold({ hemisphere: 'south' })).calendarDay).toBe('2032-03-25');
    const leap = someTask('leap', { season: { before: '02-29', days: 0 } });
    const inMarch = dues(
      someMachine([leap]),
      someFacts([], [['2030-02-20', null, ['leap']]]),
      someHousehold(),
      '2031-03-10',
    );
    expect(inMarch[0]?.calendarDay).toBe('2031-02-28');
  });

  test('pass over the seasons that were missed, back to the first year that a machine can be from', () => {
    const old = { ...someMachine([shed]), since: aDay('1970-01-01') };
    expect(due(old, someFacts([])).calendarDay).toBe('2031-09-24');
  });
});

describe('checks and things noticed', () => {
  test('have no day', () => {
    const list = dues(
      someMachine([someTask('walk-round', { every: 'use' }), someTask('squeak', { when: 'noticed' })]),
      someFacts(monthly(5)),
    );
    expect(list.map((one) => [one.limit, one.day])).toEqual([
      ['use', null],
      ['noticed', null],
    ]);
  });

  test('without any hours only the calendar counts', () => {
    const machine = someMachine([someTask('oil', { every: { hours: 60, months: 12 } })]);
    expect(forecastDues(machine, someFacts([]), null, someHousehold(), atDay(now))[0]).toMatchObject({
      limit: 'months',
      calendarDay: '2031-01-05',
    });
  });

  const failed = { task: 'stop', measurement: 'stop', place: null, found: 'failed', left: null } as const;
  const found = (day: string): MachineFacts => {
    const facts = someFacts(monthly(5), [
      ['2031-05-10', 180, ['oil', 'stop']],
      [day, 195, ['oil']],
    ]);
    const [first, second] = facts.records;
    if (first === undefined || second === undefined) throw new Error('two records');
    return { ...facts, records: [first, { ...second, findings: [{ ...failed, verdict: 'out', note: null }] }] };
  };
  const stop = someTask('stop', { every: { months: 6 } });
  const oil = someTask('oil', { every: { hours: 60 } });
  const stopDue = (facts: MachineFacts, machine = someMachine([stop, oil])) =>
    dues(machine, facts).find((each) => each.task === 'stop');

  test('what was found outside its limits and left so is due since that day, and late a week after it', () => {
    const one = stopDue(found('2031-09-06'));
    expect(one).toMatchObject({
      limit: 'noticed',
      day: { p10: '2031-09-06', p50: '2031-09-06', p90: '2031-09-06' },
      lastDay: '2031-05-10',
    });
    const late = one?.lateCurve ?? { from: aDay(now), offsets: [], p: [] };
    expect([curveAt(late, aDay('2031-09-12')), curveAt(late, aDay('2031-09-13'))]).toEqual([0, 1]);
  });

  test('so is a job of unknown past and one that only a finding brings; left out since, it waits as long as it would', () => {
    const unknown = someMachine([stop, oil], { last: { stop: { kind: 'unknown' } } });
    const only = { ...found('2031-09-06'), records: found('2031-09-06').records.slice(1) };
    expect(stopDue(only, unknown)).toMatchObject({ limit: 'noticed', unknownLast: false });
    const noticed = someMachine([someTask('stop', { when: 'noticed' }), oil]);
    expect(stopDue(found('2031-09-06'), noticed)?.day?.p50).toBe('2031-09-06');
    const day = aDay('2031-09-07');
    const answer = { kind: 'leave-out', tasks: ['stop'], day, hours: null, atMs: atDay('2031-09-07') } as const;
    expect(stopDue({ ...found('2031-09-06'), answers: [answer] })).toMatchObject({ limit: 'months' });
  });

  test('wheel bolts are brought again some hours after the wheel was off', () => {
    const wheels = someTask('wheels', { leadsTo: [{ task: 'bolts', afterHours: 5 }] });
    const one = dues(
      someMachine([wheels, someTask('bolts')]),
      someFacts(monthly(5), [['2031-08-06', 195, ['wheels', 'bolts']]]),
    ).find((each) => each.task === 'bolts');
    expect(one).toMatchObject({ targetHours: 200, intervalHours: 5, toleranceHours: 1 });
  });
});
