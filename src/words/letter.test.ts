import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { asking, below, links, textsOf, whole, withVisit, write } from '../../tests/stage/letter-said.js';
import {
  context,
  due,
  generator,
  home,
  hotOil,
  item,
  notice,
  outlook,
  sheet,
  today,
  tractor,
  visit,
} from '../../tests/stage/letter-scene.js';
import type { Caution } from '../domain/cautions.js';
import { addDays, parseDay } from '../domain/day.js';
import { noticeKinds } from '../domain/household.js';
import type { Visit } from '../domain/results/visit.js';

describe('a letter about work', () => {
  const letter = write([notice('work')]);

  test('has a subject with machine, job, day and time', () => {
    expect(letter.subject).toBe('Hill tractor: change engine oil and filter +2, Sat 22 March, 1 h 05');
  });

  test('leads with one sentence: what, which machine, by when, how sure', () => {
    expect(letter.lead).toBe(
      'Change engine oil and filter, and two more, on the hill tractor tomorrow, Saturday 22 March: the first of them reaches its limit between 27 March and 24 April, most likely about 8 April.',
    );
  });

  test('lists the tasks in the order of the bench sheet, with minutes and why one is early', () => {
    expect(below(letter, 'In working order, about 1 h 05 in all')).toEqual([
      'Check the fan belt, 10 min',
      'Change engine oil and filter, 35 min',
      'Grease the loader pins, 20 min: early on purpose, to share the visit',
    ]);
  });

  test('says what is still to buy with quantity, specification and days, and apart from it what is at home', () => {
    expect(below(letter, 'Still to buy')).toEqual([
      '1 engine oil filter (number 40-1187), about 7 days to get',
      '3.2 L engine oil 5W-40 (1 L at home already), about 3 days to get',
    ]);
    expect(below(letter, 'At home')).toEqual(['2 × drain plug seal']);
  });

  test('says apart from both what only a bad finding would need, on the day and before it', () => {
    const perhaps = [{ ...item(), name: 'fan belt', specification: null, quantity: 1, toBuy: 1, inStock: 0 }];
    for (const kind of ['work', 'parts'] as const) {
      const said = write([notice(kind)], withVisit({ perhaps }));
      expect(below(said, 'Perhaps')).toEqual(['1 fan belt']);
      expect(whole(said)).toContain('nothing of this is bought before');
      expect(below(said, kind === 'work' ? 'Still to buy' : 'To buy').join()).not.toContain('fan belt');
      expect(whole(write([notice(kind)]))).not.toContain('Perhaps');
    }
  });

  test('says so when something cannot be here in time', () => {
    expect(whole(letter)).toContain('Ordered only now, not all of it can be here on the day');
    expect(whole(write([notice('work')], withVisit({ shopping: [] })))).not.toContain('not all of it');
  });

  test('says first of all that something has to be bought before the work, and what to leave out without it', () => {
    expect(textsOf(letter)[0]).toBe(
      'Unless you have them by now, buy the engine oil filter and the engine oil first, or leave this out: change engine oil and filter.',
    );
    const [filter] = visit.shopping;
    if (filter === undefined) throw new Error('the scene buys nothing');
    const shared = [{ ...filter, tasks: ['engine-oil', 'loader-pins'] }];
    expect(whole(write([notice('work')], withVisit({ shopping: shared })))).toContain(
      'Unless you have it by now, buy the engine oil filter first, or leave these out: change engine oil and filter, and grease the loader pins.',
    );
    for (const more of [{ shopping: [] }, { by: 'dealer' } as const]) {
      expect(whole(write([notice('work')], withVisit(more)))).not.toContain('Unless you have');
    }
  });

  test('says that the work has come forward since its parts were spoken of, and from when', () => {
    const sooner = whole(write([notice('work')], withVisit({ forwardFrom: parseDay('2031-03-29') })));
    expect(sooner).toContain('The last word on what to buy named Saturday 29 March: the work has come forward since');
    for (const more of [
      {},
      { forwardFrom: visit.day },
      { forwardFrom: parseDay('2031-03-29'), by: 'dealer' } as const,
    ]) {
      expect(whole(write([notice('work')], withVisit(more)))).not.toContain('come forward');
    }
  });

  test('names the tools, and what was noticed since', () => {
    expect(whole(letter)).toContain('17 mm socket, drain pan, filter strap and grease gun.');
    expect(below(letter, 'You noticed')).toEqual(['The lift hums when it holds a load']);
  });

  test('puts the worst caution first, as ANSI Z535.4-2007 orders the signal words', () => {
    const signals = letter.blocks.flatMap((block) => (block.kind === 'caution' ? [block.caution.signal] : []));
    expect(signals).toEqual(['DANGER', 'WARNING', 'NOTICE']);
  });

  test('says each caution once, and sends the reader to the sheet for more than four', () => {
    const many: Caution[] = ['a', 'b', 'c', 'd', 'e', 'a'].map((id) => ({ ...hotOil, id }));
    const crowded = write([notice('work')], context({ sheets: new Map([[visit.id, { ...sheet, cautions: many }]]) }));
    const shown = crowded.blocks.flatMap((block) => (block.kind === 'caution' ? [block.caution.id] : []));
    expect(shown).toEqual(['a', 'b', 'c', 'd']);
    expect(whole(crowded)).toContain('More cautions stand on the bench sheet');
  });

  test('says what to do when the meter shows less than expected', () => {
    expect(whole(letter)).toContain(
      'If it shows less than about 379 h, there is no hurry: enter what it shows, and the visit moves',
    );
    // Before the jobs and the things to have ready: whoever reads on lifts a tool.
    const at = (text: string) => letter.blocks.findIndex((block) => 'text' in block && block.text.includes(text));
    expect(at('there is no hurry')).toBeGreaterThan(-1);
    expect(at('there is no hurry')).toBeLessThan(letter.blocks.findIndex(({ kind }) => kind === 'list'));
  });

  test('never calls hours past the limit no hurry', () => {
    const [first] = outlook.machines;
    if (first === undefined) throw new Error('the scene has no machine');
    const past = { ...outlook, machines: [{ ...first, hoursNow: { p10: 412, p50: 420, p90: 431 } }] };
    expect(whole(write([notice('late')], context({ outlook: past })))).toContain('less than about 400 h');
  });

  test('does not speak of the meter where the calendar decides', () => {
    const [first] = outlook.machines;
    if (first === undefined) throw new Error('the scene has no machine');
    const calendar = { ...outlook, machines: [{ ...first, dues: [{ ...due, limit: 'months' as const }] }] };
    expect(whole(write([notice('work')], context({ outlook: calendar })))).not.toContain('no hurry');
  });

  test('links to confirming, to the bench sheet and to a reading, the first two to be tapped', () => {
    expect(links(letter).map(({ url, main }) => [url.replace('http://shed.example:8377', ''), main])).toEqual([
      [`/v/${visit.id}.marta.c2lnbmVk`, true],
      [`/sheet/${visit.id}`, true],
      ['/r/hill-tractor.marta.c2lnbmVk', false],
      ['/', false],
    ]);
  });

  test('defers to the manual, to local codes and to licensed practice', () => {
    expect(whole(letter)).toMatch(/manual comes first, and so do local codes and licensed practice/);
  });

  test('names the day of the notice, even if the plan has moved on since', () => {
    const moved = withVisit({ day: parseDay('2031-04-05') });
    expect(write([notice('work')], moved).subject).toContain('Sat 22 March');
  });
});

describe('several things in one letter', () => {
  const several = write([asking({ machine: generator.id }), notice('parts'), notice('work')]);

  test('lead with the most pressing one and say how much more there is', () => {
    expect(several.lead).toMatch(/^Change engine oil and filter.* One more thing stands below\.$/);
    expect(several.subject).toBe('Hill tractor: change engine oil and filter +2, Sat 22 March, 1 h 05; also Generator');
  });

  test('name in the subject each other machine that they tell of, by number from the third on', () => {
    const other = { ...visit, id: 'hill-tractor-coolant-1', leadTask: 'coolant', tasks: ['coolant'] };
    const told = (...more: ReturnType<typeof notice>[]) =>
      write([notice('work'), ...more], context({ outlook: { ...outlook, visits: [visit, other] } })).subject.replace(
        /^.*1 h 05/,
        '',
      );
    const ofOther = notice('parts', { visit: other.id });
    const ofService = notice('trouble', { machine: null, visit: null, tasks: [] });
    expect(told(ofOther)).toBe('; and one more');
    expect(told(asking({ machine: generator.id }), asking())).toBe('; also Generator');
    expect(told(asking({ machine: generator.id }), ofService)).toBe(`; also ${home.household.name} and Generator`);
  });

  test('say nothing in the subject of what the lead tells already', () => {
    expect(write([notice('work'), notice('parts')]).subject).not.toContain(';');
  });

  test('have one heading a machine, the most pressing machine first', () => {
    expect(several.blocks.flatMap((block) => (block.kind === 'heading' ? [block.text] : []))).toEqual([
      'Hill tractor',
      'Generator',
    ]);
  });

  test('say the work of a visit, not its shopping a second time', () => {
    expect(whole(several).match(/40-1187/g)).toHaveLength(1);
  });

  test('tell each further thing about a machine under its own subject, and nothing twice', () => {
    const other = { ...visit, id: 'hill-tractor-coolant-1', leadTask: 'coolant', tasks: ['coolant'] };
    const letter = write(
      [notice('work'), notice('parts', { visit: other.id })],
      context({ outlook: { ...outlook, visits: [visit, other] } }),
    );
    expect(letter.blocks.flatMap((block) => (block.kind === 'heading' ? [block.text] : []))).toEqual([
      'Hill tractor',
      'Hill tractor: buy engine oil filter +1 as soon as you can, for Sat 22 March',
    ]);
    expect(whole(letter).match(/it was last read 12 days ago/g)).toHaveLength(1);
  });

  test('keep shopping for another visit', () => {
    const other = {
      ...visit,
      id: 'generator-oil-1',
      machine: generator.id,
      leadTask: 'generator-oil',
      tasks: ['generator-oil'],
    };
    const both = context({ outlook: { ...outlook, visits: [visit, other] } });
    const letter = write([notice('work'), notice('parts', { machine: generator.id, visit: other.id })], both);
    expect(whole(letter).match(/40-1187/g)).toHaveLength(2);
  });

  test('say the words about the manual once, at the end', () => {
    const at = several.blocks.flatMap((block, place) =>
      block.kind === 'text' && block.text.includes('licensed practice') ? [place] : [],
    );
    expect(at).toEqual([several.blocks.length - 2]);
  });

  test('no notice at all is no letter', () => {
    expect(() => write([])).toThrow(RangeError);
  });
});

test('whatever is known or unknown, a letter is whole: one line of subject, no empty text, no null, no NaN', () => {
  const daysAway = fc.integer({ min: -400, max: 800 });
  fc.assert(
    fc.property(
      fc.subarray([...noticeKinds], { minLength: 1 }),
      fc.record({
        first: daysAway,
        middle: daysAway,
        last: daysAway,
        day: daysAway,
        hours: fc.option(fc.double({ min: 0, max: 9000, noNaN: true })),
      }),
      fc.record({
        visit: fc.boolean(),
        sheet: fc.boolean(),
        due: fc.boolean(),
        dealer: fc.boolean(),
        meter: fc.boolean(),
        stranger: fc.boolean(),
      }),
      fc.string({ unit: 'binary' }),
      (kinds, times, known, text) => {
        const [p10 = 0, p50 = 0, p90 = 0] = [times.first, times.middle, times.last].toSorted((a, b) => a - b);
        const spread = { p10: addDays(today, p10), p50: addDays(today, p50), p90: addDays(today, p90) };
        const one: Visit = {
          ...visit,
          due: spread,
          day: addDays(today, times.day),
          by: known.dealer ? 'dealer' : 'owner',
          buyBy: known.due ? visit.buyBy : null,
        };
        const machine = {
          ...tractor,
          name: known.stranger ? `x${text}` : tractor.name,
          meter: known.meter ? tractor.meter : generator.meter,
        };
        const hours = times.hours;
        const hoursNow = hours === null ? null : { p10: hours * 0.9, p50: hours, p90: hours * 1.2 };
        const [first] = outlook.machines;
        if (first === undefined) throw new Error('the scene has no machine');
        const where = context({
          home: { ...home, machines: [machine] },
          outlook: {
            ...outlook,
            visits: known.visit ? [one] : [],
            machines: [
              {
                ...first,
                hoursNow,
                dues: known.due ? [{ ...due, day: spread }] : [],
                lastReading: known.meter ? first.lastReading : null,
              },
            ],
          },
          sheets: known.sheet ? new Map([[visit.id, sheet]]) : new Map(),
        });
        const letter = write(
          kinds.map((kind) => notice(kind, { because: `because ${text}`, proposedDay: known.visit ? one.day : null })),
          where,
        );
        expect(letter.subject).not.toMatch(/[\p{Cc}\u2028\u2029]/u);
        for (const said of [letter.subject, letter.lead, ...textsOf(letter)]) {
          expect(said.trim()).not.toBe('');
          if (!text.match(/null|NaN|undefined/)) expect(said).not.toMatch(/\bnull\b|NaN|undefined|Infinity/);
        }
      },
    ),
    { numRuns: 300 },
  );
});
