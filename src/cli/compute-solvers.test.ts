import { describe, expect, test } from 'vitest';
import { aGrouping, anOrder, answersTo, orderChanges as changes, one } from '../../tests/stage/compute-lines.js';
import { groupingKind } from './compute-grouping.js';
import { inspectionKind } from './compute-inspection.js';
import { orderKind } from './compute-order.js';

describe('compute order', () => {
  test('answers the order, its minutes and whether it is proven', async () => {
    expect(await one(orderKind, anOrder())).toEqual({
      status: 0,
      id: 'o',
      order: ['belt', 'drain', 'fill'],
      minutes: 35 + 11 + 5,
      proven: true,
    });
  });

  test('a brief start, fittings and the battery have their minutes; the battery ends connected', async () => {
    const tasks = [
      { id: 'switch', minutes: 5, needs: { engine: 'brief' } },
      { id: 'frame', minutes: 5, needs: { fitted: { loader: 'off' } } },
      { id: 'posts', minutes: 5, needs: { battery: 'disconnected' } },
      { id: 'pins', minutes: 5, needs: { fitted: { loader: 'on' } } },
    ];
    const more = { ...changes, fitted: { loader: { on: 13, off: 12 } }, battery: { on: 4, off: 3 } };
    const answer = await one(
      orderKind,
      anOrder({ tasks, changes: more, start: { engine: 'cold', fitted: { loader: 'on' } } }),
    );
    expect(answer).toMatchObject({ minutes: 20 + 2 + 25 + 7, proven: true });
  });

  test('a battery that may be either way, as any state may, is said so or left out', async () => {
    const tasks = [{ id: 'wash', minutes: 5, needs: { engine: 'any', raised: 'any', battery: 'any' } }];
    expect(await one(orderKind, anOrder({ tasks }))).toMatchObject({ status: 0, minutes: 5, proven: true });
  });

  test('no tasks take what the finish asks for', async () => {
    expect(await one(orderKind, anOrder({ tasks: [], finish: { raised: 'rear' } }))).toMatchObject({
      order: [],
      minutes: 8,
    });
  });

  test.each([
    [
      'a circle',
      {
        tasks: [
          { id: 'a', minutes: 1, after: ['b'] },
          { id: 'b', minutes: 1, after: ['a'] },
        ],
      },
      'circle: a, b',
    ],
    ['a task after itself', { tasks: [{ id: 'a', minutes: 1, after: ['a'] }] }, 'circle: a'],
    ['an unknown task', { tasks: [{ id: 'a', minutes: 1, after: ['x'] }] }, 'tasks.0.after: there is no task "x"'],
    [
      'an unknown cover',
      { tasks: [{ id: 'a', minutes: 1, needs: { covers: ['roof'] } }] },
      'changes.covers has no "roof"',
    ],
    ['an unknown cover at the end', { finish: { raised: 'none', covers: ['roof'] } }, 'finish.covers'],
    [
      'an unknown fitting',
      { tasks: [{ id: 'a', minutes: 1, needs: { fitted: { blade: 'on' } } }] },
      'changes.fitted has no "blade"',
    ],
    [
      'an id twice',
      {
        tasks: [
          { id: 'a', minutes: 1 },
          { id: 'a', minutes: 1 },
        ],
      },
      '"a" is there twice',
    ],
    ['minutes below 0', { tasks: [{ id: 'a', minutes: -1 }] }, 'tasks.0.minutes'],
    ['minutes as text', { tasks: [{ id: 'a', minutes: '5' }] }, 'tasks.0.minutes'],
    ['minutes without a number', { tasks: [{ id: 'a', minutes: Number.NaN }] }, 'tasks.0.minutes'],
    ['a word for no engine', { tasks: [{ id: 'a', minutes: 1, needs: { engine: 'hot' } }] }, 'tasks.0.needs.engine'],
    ['no changes', { changes: undefined }, 'changes'],
    [
      'a battery without its minutes',
      { tasks: [{ id: 'a', minutes: 1, needs: { battery: 'disconnected' } }] },
      'changes.battery is missing',
    ],
  ])('%s is an error that names the place', async (_, over, place) => {
    expect(await one(orderKind, anOrder(over))).toEqual({ status: 1, id: 'o', error: expect.stringContaining(place) });
  });
});

describe('compute grouping', () => {
  test('answers visits on the scale of days, their cost and whether it is proven', async () => {
    expect(await one(groupingKind, aGrouping())).toEqual({
      status: 0,
      id: 'g',
      visits: [{ day: 2, bundles: ['oil', 'belt', 'far'] }],
      cost: 16,
      proven: true,
    });
  });

  test('a saving counts where a visit wholly holds its bundles', async () => {
    const shared = [
      { bundles: ['oil', 'belt'], saves: 3.5 },
      { bundles: ['oil', 'far', 'belt'], saves: 0.4 },
    ];
    expect(await one(groupingKind, aGrouping({ visitCost: 2, shared }))).toMatchObject({
      visits: [
        { day: -1, bundles: ['oil'] },
        { day: 2, bundles: ['belt', 'far'] },
      ],
      cost: 4,
    });
    expect(
      await one(groupingKind, aGrouping({ visitCost: 2, shared: [{ bundles: ['oil', 'belt'], saves: 6 }] })),
    ).toMatchObject({
      cost: 2,
      visits: [{ day: 2, bundles: ['oil', 'belt', 'far'] }],
    });
  });

  test('no bundles need no visit', async () => {
    expect(await one(groupingKind, aGrouping({ bundles: [] }))).toEqual({
      status: 0,
      id: 'g',
      visits: [],
      cost: 0,
      proven: true,
    });
  });

  test.each([
    ['a cost too few', { bundles: [{ id: 'oil', cost: [1, 2, 3] }] }, 'wants 4 values, one a day, and has 3'],
    ['no cost', { bundles: [{ id: 'oil', cost: [] }] }, 'bundles.0.cost'],
    ['a cost without a number', { bundles: [{ id: 'oil', cost: [1, Number.NaN, 2, 3] }] }, 'bundles.0.cost.1'],
    ['days upside down', { days: [3, 1] }, 'last day lies before the first'],
    ['half a day', { days: [0.5, 1] }, 'days.0'],
    ['an unknown bundle', { shared: [{ bundles: ['oil', 'x'], saves: 1 }] }, 'there is no bundle "x"'],
    [
      'an id twice',
      {
        bundles: [
          { id: 'a', cost: [1, 1, 1, 1] },
          { id: 'a', cost: [1, 1, 1, 1] },
        ],
      },
      'there twice',
    ],
    ['a visit that costs less than nothing', { visitCost: -1 }, 'visitCost'],
  ])('%s is an error that names the place', async (_, over, place) => {
    expect(await one(groupingKind, aGrouping(over))).toEqual({
      status: 1,
      id: 'g',
      error: expect.stringContaining(place),
    });
  });
});

const range = { kind: 'range', min: '10 mm', max: '13 mm' };
const anInspection = (over: object = {}) => ({ id: 'i', spec: range, found: '12 mm', resolution: '1 mm', ...over });

describe('compute inspection', () => {
  test.each([
    [{}, 12, 'mm', 'in'],
    [{ found: '1 5/16 in' }, 33.3375, 'mm', 'out'],
    [{ found: '12,5 mm' }, 12.5, 'mm', 'in'],
    [{ found: '13 mm' }, 13, 'mm', 'too close to call'],
    [{ found: '13 mm', resolution: null }, 13, 'mm', 'in'],
    [{ spec: { kind: 'atLeast', min: '2 bar' }, found: '30 psi', resolution: undefined }, 2.068427, 'bar', 'in'],
    [
      { spec: { kind: 'atMost', max: '5 mm' }, found: '3/16 in', resolution: '1/16 in' },
      4.7625,
      'mm',
      'too close to call',
    ],
    [
      { spec: { kind: 'nominal', nominal: '100 N m', tolerance: '10 N m' }, found: '95 N m', resolution: '1 N m' },
      95,
      'N m',
      'in',
    ],
    [{ spec: { kind: 'difference', min: '0 mm', max: '5 mm' }, found: ['742 mm', '740 mm'] }, 2, 'mm', 'in'],
    [
      { spec: { kind: 'difference', min: '0 mm', max: '5 mm' }, found: ['740.5 mm', '740 mm'] },
      0.5,
      'mm',
      'too close to call',
    ],
    [
      {
        spec: {
          kind: 'lookup',
          points: [
            ['12.0 V', 25],
            ['12.2 V', 50],
            ['12.4 V', 75],
          ],
          unit: '%',
          min: 50,
        },
        found: '12.3 V',
        resolution: '0.1 V',
      },
      62.5,
      '%',
      'in',
    ],
    [
      {
        spec: {
          kind: 'lookup',
          points: [
            ['12.0 V', 25],
            ['12.2 V', 50],
            ['12.4 V', 75],
          ],
          unit: '%',
          min: 50,
        },
        found: '12.22 V',
        resolution: '0.1 V',
      },
      52.5,
      '%',
      'too close to call',
    ],
    [{ spec: { kind: 'test', longest: '1 s' }, found: 'passed', resolution: null }, 1, '', 'in'],
    [{ spec: { kind: 'test', longest: '1 s' }, found: '1.6 s', resolution: '0.1 s' }, 1.6, 's', 'out'],
  ])('%j reads %d %s: %s', async (over, value, unit, verdict) => {
    const answer = await one(inspectionKind, anInspection(over));
    expect(answer).toMatchObject({ status: 0, id: 'i', value: expect.closeTo(value, 5), unit, verdict });
    expect(answer).toHaveProperty('text', expect.stringMatching(/\.$/));
  });

  test.each([
    ['a unit of another quantity', { found: '7 psi' }, 'psi measures pressure'],
    ['a fraction over nothing', { found: '1/0 in' }, 'other than 0'],
    ['words', { found: 'a thumb' }, 'not a number'],
    ['limits upside down', { spec: { ...range, min: '14 mm' } }, 'larger than the largest'],
    ['a step of nothing', { resolution: '0 mm' }, 'more than 0'],
    ['a step of another quantity', { resolution: '1 V' }, 'V measures voltage'],
    ['one value for a difference', { spec: { kind: 'difference', max: '5 mm' }, found: '3 mm' }, 'two values'],
    [
      'a reading outside the table',
      {
        spec: {
          kind: 'lookup',
          points: [
            ['12.0 V', 25],
            ['12.4 V', 75],
          ],
          unit: '%',
          min: 50,
        },
        found: '11 V',
        resolution: null,
      },
      'outside the table',
    ],
    ['an unknown kind', { spec: { kind: 'guess' } }, 'spec.kind'],
    ['a missing limit', { spec: { kind: 'range', min: '1 mm' } }, 'spec.max'],
    ['a difference without limits', { spec: { kind: 'difference' }, found: ['1 mm', '2 mm'] }, 'needs a limit'],
    ['nothing found', { found: '' }, 'not a number'],
  ])('%s is an error that says so', async (_, over, words) => {
    expect(await one(inspectionKind, anInspection(over))).toEqual({
      status: 1,
      id: 'i',
      error: expect.stringContaining(words),
    });
  });

  test('a bad line gets its error, and the rest go on', async () => {
    const { status, answers } = await answersTo(inspectionKind, anInspection(), '{"id":', anInspection({ id: 2 }));
    expect(status).toBe(1);
    expect(answers.map(({ id }) => id)).toEqual(['i', null, 2]);
  });
});
