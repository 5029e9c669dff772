import { describe, expect, test } from 'vitest';
import { context, home, item, notice, outlook, today, tractor, visit } from '../../tests/stage/letter-scene.js';
import { addDays } from '../domain/day.js';
import type { LimitKind, Spread } from '../domain/results/due.js';
import type { DayCause, Visit } from '../domain/results/visit.js';
import { sayCause, sayStretch } from './cause.js';
import { sayLikelyDays } from './dates.js';
import { sayDue } from './due.js';
import { sayHeadline } from './headline.js';
import { writeLetter } from './letter.js';
import { sayReach } from './reach.js';
import { sayVisit, sayVisitTitle } from './visit.js';

const locale = 'en-GB';
/** Days from today: past, today, near, far. */
const shifts = [-400, -40, -1, 0, 1, 6, 13, 366, 800];
const spreads: Spread<(typeof visit)['day']>[] = shifts.flatMap((a) =>
  shifts.flatMap((b) =>
    shifts.flatMap((c) =>
      a <= b && b <= c ? [{ p10: addDays(today, a), p50: addDays(today, b), p90: addDays(today, c) }] : [],
    ),
  ),
);
const causes: DayCause[] = [
  { kind: 'on-time' },
  { kind: 'parts', leadDays: 0 },
  { kind: 'parts', leadDays: 1 },
  { kind: 'parts', leadDays: 10 },
  { kind: 'asked' },
  { kind: 'next-chance' },
  { kind: 'last-chance' },
  { kind: 'rest' },
  { kind: 'shared', task: 'fan-belt' },
  { kind: 'unsure' },
  { kind: 'stored' },
  { kind: 'tolerated' },
  { kind: 'wide' },
];
const kindsOfVisit: Partial<Visit>[] = [
  { tasks: ['engine-oil'], pulledForward: [] },
  {},
  { minutes: 60 },
  { minutes: 0, tasks: ['engine-oil'] },
  { by: 'dealer' },
  { kind: 'getting-to-know', tasks: ['engine-oil'], minutes: 55 },
  { kind: 'getting-to-know', minutes: 706 },
  { kind: 'getting-to-know', by: 'dealer' },
];

/** What no sentence may say, whatever it is about. */
function faultsIn(text: string): string[] {
  const found = text.match(
    /undefined|null|NaN|\b1 (?:jobs|days|hours|weeks|messages)\b|\bone (?:weeks|days|months)\b|\bno (?:weeks|days|months)\b|-\d+ days|−\d| {2}|[,;:]\.|\.\.|; *;|, ,|\bon on\b|about about|\b(?:days?|times) in ten by today/g,
  );
  return found === null ? [] : [...found];
}

/** Days that a clause names twice. */
function daysTwice(text: string): string[] {
  const days: readonly string[] =
    text.match(
      /\d+ (?:January|February|March|April|May|June|July|August|September|October|November|December)(?: \d{4})?/g,
    ) ?? [];
  return days.filter((day, i) => days.indexOf(day) !== i);
}

describe('sentences of odd days', () => {
  test('the days of a limit are named once each, whatever their span', () => {
    const bad = spreads.flatMap((spread) =>
      [sayReach(spread, today, locale), sayLikelyDays(spread, today, locale)]
        .filter((text) => faultsIn(text).length > 0 || daysTwice(text).length > 0)
        .map((text) => `${spread.p10} ${spread.p50} ${spread.p90}: ${text}`),
    );
    expect(bad).toEqual([]);
  });

  test('a limit of today is neither passed nor to come', () => {
    const day = { p10: today, p50: today, p90: today };
    expect(sayReach(day, today, locale)).toBe('it reaches its limit today');
    expect(sayReach({ ...day, p10: addDays(today, -9) }, today, locale)).toBe(
      'it has most likely reached its limit by now',
    );
    const week = addDays(today, 7);
    expect(sayReach({ p10: addDays(today, -9), p50: week, p90: week }, today, locale)).toBe(
      'it may be at its limit already, and most likely gets there by 28 March',
    );
  });

  test.each(kindsOfVisit.map((kind) => [JSON.stringify(kind), kind] as const))(
    'a visit with %s reads well on any day, for any reason',
    (_name, kind) => {
      const bad: string[] = [];
      for (const shift of [-1, 0, 1, 6, 40]) {
        for (const [i, due] of spreads.entries()) {
          const cause = causes[i % causes.length] ?? causes[0];
          if (cause === undefined) continue;
          const one: Visit = { ...visit, ...kind, due, cause, day: addDays(today, shift) };
          const text = sayVisit(one, tractor, today, locale);
          if (faultsIn(text).length > 0 || !/^\p{Lu}/u.test(text) || !text.endsWith('.')) bad.push(text);
        }
      }
      expect(bad.slice(0, 5)).toEqual([]);
    },
  );

  test('every letter of every kind reads well for every such visit', () => {
    const bad: string[] = [];
    for (const kind of ['parts', 'work', 'late', 'season', 'reading', 'trouble'] as const) {
      for (const [i, more] of kindsOfVisit.entries()) {
        for (const cause of causes) {
          for (const shopping of [[], [item()], visit.shopping]) {
            const one: Visit = {
              ...visit,
              ...more,
              cause,
              shopping,
              due: spreads[(i * 37) % spreads.length] ?? visit.due,
            };
            const where = context({ outlook: { ...outlook, visits: [one] }, sheets: new Map() });
            const letter = writeLetter({ to: 'marta', notices: [notice(kind, { tasks: one.tasks })] }, where);
            const texts = [
              letter.subject,
              letter.lead,
              ...letter.blocks.flatMap((block) =>
                block.kind === 'text' || block.kind === 'heading'
                  ? [block.text]
                  : block.kind === 'list' || block.kind === 'numbered'
                    ? block.items
                    : [],
              ),
            ];
            bad.push(...texts.filter((text) => text === '' || faultsIn(text).length > 0));
          }
        }
      }
    }
    expect([...new Set(bad)].slice(0, 8)).toEqual([]);
  });

  test('the almanac’s opening never says that there is nothing to do beside a limit that is reached', () => {
    const bad: string[] = [];
    for (const shift of shifts.filter((each) => each >= 0)) {
      for (const [i, due] of spreads.entries()) {
        const one: Visit = {
          ...visit,
          due,
          cause: causes[i % causes.length] ?? { kind: 'on-time' },
          day: addDays(today, shift),
        };
        const said = sayHeadline({ ...outlook, visits: [one] }, home);
        const text = `${said.first} ${said.second}`;
        if (faultsIn(text).length > 0) bad.push(text);
        if (said.first.startsWith('Nothing to do') && due.p50 <= today) bad.push(text);
      }
    }
    expect(bad.slice(0, 5)).toEqual([]);
  });

  test.each(['hours', 'months', 'season', 'break-in', 'noticed', 'use'] satisfies LimitKind[])(
    'a due date by %s reads well on any day and without one',
    (limit) => {
      const [first] = outlook.machines;
      const due = first?.dues[0];
      if (due === undefined) throw new Error('the scene has no due date');
      const texts = [null, ...spreads].map((day) => sayDue({ ...due, limit, day }, tractor, today, locale));
      expect(texts.filter((text) => faultsIn(text).length > 0)).toEqual([]);
      const unknown = { ...due, limit, day: null, targetHours: null, unknownLast: true };
      expect(faultsIn(sayDue(unknown, tractor, today, locale))).toEqual([]);
    },
  );
});

describe('the reason of a day', () => {
  const due = { p10: addDays(today, 30), p50: addDays(today, 40), p90: addDays(today, 50) };
  const say = (cause: DayCause, day: number) => sayCause({ cause, due, day: addDays(today, day) }, tractor, today);

  test('is said in one clause, with how long the parts take or how early it is', () => {
    expect(say({ kind: 'parts', leadDays: 10 }, 60)).toBe(
      'later than that because what is missing takes 10 days to get',
    );
    expect(say({ kind: 'shared', task: 'fan-belt' }, 9)).toBe(
      'three weeks early, to share the visit with “check the fan belt”',
    );
    expect(say({ kind: 'last-chance' }, 9)).toBe(
      'three weeks early, because the next day to work on it comes after its limit',
    );
    expect(say({ kind: 'on-time' }, 29)).toBe('');
  });

  test('is said for a day after the likeliest one, and for one long before it', () => {
    expect(say({ kind: 'tolerated' }, 44)).toBe('a little past that still counts as on time');
    expect(say({ kind: 'stored' }, 90)).toBe('it waits for its return from storage');
    const wide = { p10: addDays(today, 20), p50: addDays(today, 230), p90: addDays(today, 400) };
    const visit = { due: wide, day: addDays(today, 18) };
    expect(sayCause({ ...visit, cause: { kind: 'wide' } }, tractor, today)).toBe(
      'about seven months before the likeliest day, because the hours may come sooner',
    );
  });

  test('tells a limit that is past from one that is to come', () => {
    const past = { p10: addDays(today, -3), p50: addDays(today, -3), p90: addDays(today, -3) };
    const visit = { cause: { kind: 'next-chance' } as const, day: addDays(today, 2) };
    expect(sayCause({ ...visit, due: past }, tractor, today)).toBe('this is the next day to work on it');
    expect(sayCause({ ...visit, due: { ...past, p50: addDays(today, 1) } }, tractor, today)).toBe(
      'no day to work on it comes before that',
    );
  });

  test('stretches of time are told as people tell them', () => {
    expect([0, 1, 2, 13, 14, 30, 69, 70, 400].map(sayStretch)).toEqual([
      '0 days',
      'a day',
      '2 days',
      '13 days',
      'two weeks',
      'four weeks',
      'ten weeks',
      'about two months',
      'about 13 months',
    ]);
  });
});

test('a first look over too long for a day says that it may take several', () => {
  const long: Visit = { ...visit, kind: 'getting-to-know', minutes: 706 };
  const text = sayVisit(long, tractor, today, locale);
  expect(text).toContain('a first look over, 3 jobs, about 11 h 46 in all, because nobody knows');
  expect(text).toContain('Take several days for it: what you tick is kept, and the rest stays open.');
  expect(sayVisit({ ...long, minutes: 90 }, tractor, today, locale)).not.toContain('several days');
  expect(sayVisitTitle(long, tractor)).toBe('Getting to know it, 3 jobs');
});
