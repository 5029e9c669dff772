import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
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
import type { Letter } from '../domain/results/letter.js';
import type { Notice } from '../domain/results/notice.js';
import type { Visit } from '../domain/results/visit.js';
import { type LetterContext, writeLetter } from './letter.js';

const write = (notices: readonly Notice[], where: LetterContext = context()) =>
  writeLetter({ to: 'marta', notices }, where);
const withVisit = (more: Partial<Visit>) =>
  context({ outlook: { ...outlook, visits: [{ ...visit, ...more }] }, sheets: new Map() });
const asking = (more: Partial<Notice> = {}) =>
  notice('reading', { visit: null, tasks: [], proposedDay: null, ...more });

function textsOf(letter: Letter): readonly string[] {
  return letter.blocks.flatMap((block) => {
    if (block.kind === 'heading' || block.kind === 'text') return [block.text];
    if (block.kind === 'caution') return [`${block.caution.signal} ${block.caution.hazard} ${block.caution.avoid}`];
    if (block.kind === 'link') return [block.label, block.url];
    return block.items;
  });
}

const whole = (letter: Letter) => [letter.subject, letter.lead, ...textsOf(letter)].join('\n');
const below = (letter: Letter, heading: string) => {
  const at = letter.blocks.findIndex((block) => block.kind === 'heading' && block.text.startsWith(heading));
  const block = letter.blocks[at + 1];
  return at >= 0 && (block?.kind === 'list' || block?.kind === 'numbered') ? block.items : [];
};
const links = (letter: Letter) => letter.blocks.flatMap((block) => (block.kind === 'link' ? [block] : []));

describe('a letter about work', () => {
  const letter = write([notice('work')]);

  test('has a subject with machine, job and day', () => {
    expect(letter.subject).toBe('Hill tractor: change engine oil and filter +2, Sat 22 March');
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

  test('says so when something cannot be here in time', () => {
    expect(whole(letter)).toContain('Not all of it can be here on the day');
    expect(whole(write([notice('work')], withVisit({ shopping: [] })))).not.toContain('Not all of it');
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

describe('other letters', () => {
  test('buying: what, for which machine, by when, and how sure', () => {
    const letter = write(
      [notice('parts', { proposedDay: parseDay('2031-03-29') })],
      withVisit({ buyBy: parseDay('2031-03-25') }),
    );
    expect(letter.subject).toBe('Hill tractor: buy parts by Tue 25 March, for Sat 29 March');
    expect(letter.lead).toMatch(
      /^Buy the engine oil filter and the engine oil for the hill tractor by Tuesday 25 March: .*Saturday 29 March.*between 27 March and 24 April/,
    );
    expect(below(letter, 'To buy')).toHaveLength(2);
    expect(whole(letter)).not.toContain('Where no number stands');
  });

  test('buying: a part without a number sends the owner to the manual', () => {
    const [filter] = visit.shopping;
    if (filter === undefined) throw new Error('the scene buys nothing');
    const letter = write([notice('parts')], withVisit({ shopping: [{ ...filter, specification: null }] }));
    expect(whole(letter)).toContain('take it from your machine’s manual');
  });

  test('buying: what has come in meanwhile is not asked for again', () => {
    const letter = write([notice('parts')], withVisit({ shopping: [], buyBy: null }));
    expect(letter.lead).toContain('Nothing is missing any more');
  });

  test('late with nothing said before: says overdue, not still', () => {
    const letter = write([notice('late')], withVisit({ announced: false, revision: 0 }));
    expect(letter.subject).toMatch(/^Hill tractor: overdue, /);
    expect(letter.lead).toMatch(/^Overdue on the hill tractor: /);
  });

  test('buying again: only what is new', () => {
    const filter = visit.shopping.slice(0, 1);
    const belt = item({ name: 'fan belt', tasks: ['fan-belt'] });
    const letter = write([notice('parts', { tasks: ['fan-belt'] })], withVisit({ shopping: [...filter, belt] }));
    expect(below(letter, 'To buy')).toEqual([expect.stringContaining('fan belt')]);
    expect(letter.lead).toMatch(/^Buy the fan belt for/);
  });

  test('buying where the time is short: says what to do if it cannot be had', () => {
    const letter = write([notice('parts')], withVisit({ shopping: visit.shopping.slice(0, 1) }));
    expect(whole(letter)).toContain('If the engine oil filter cannot be had by Saturday 22 March, say so at the link');
  });

  test('late: says that it is still to do, and on which day it can be done', () => {
    const april = { ...outlook, today: parseDay('2031-04-30') };
    const letter = write([notice('late', { proposedDay: parseDay('2031-05-03') })], context({ outlook: april }));
    expect(letter.subject).toBe('Hill tractor: still to do, change engine oil and filter +2, Sat 3 May');
    expect(letter.lead).toBe(
      'Still to do on the hill tractor: change engine oil and filter, and two more; the first of them has almost certainly passed its limit, between 27 March and 24 April, most likely about 8 April, so do it this Saturday, 3 May.',
    );
  });

  test('a reading: which meter, what it last showed, what it should show', () => {
    const letter = write([asking()]);
    expect(letter.subject).toBe('Hill tractor: what does the hour meter show?');
    expect(letter.lead).toContain(
      '12 days ago it showed 380.4 h, and by now it should stand at about 386 h (379 to 394).',
    );
    expect(links(letter)[0]).toMatchObject({ main: true, url: expect.stringContaining('/r/hill-tractor') });
    expect(whole(letter)).not.toContain('licensed practice');
  });

  test('a machine without a meter is asked how long it ran', () => {
    const letter = write([asking({ machine: generator.id })]);
    expect(letter.lead).toContain('how long the generator has run');
    expect(whole(letter)).not.toMatch(/meter/);
  });

  test('a reading kept aside is asked about with what was probably meant', () => {
    const [first] = outlook.machines;
    if (first === undefined) throw new Error('the scene has no machine');
    const aside = [
      {
        id: 'a',
        atMs: 0,
        hours: 1425,
        question: 'That is 1,039 h more than two weeks ago',
        suggestionHours: 142.5,
        by: null,
      },
    ];
    const letter = write([asking()], context({ outlook: { ...outlook, machines: [{ ...first, aside }] } }));
    expect(whole(letter)).toContain(
      'That is 1,039 h more than two weeks ago. Was 142.5 h meant? Until you confirm it, it does not count.',
    );
  });

  test('dealer’s work has no bench sheet and nothing to buy, but can be confirmed', () => {
    const letter = write(
      [notice('work')],
      withVisit({ by: 'dealer', tasks: ['valve-clearance'], leadTask: 'valve-clearance', pulledForward: [] }),
    );
    expect(letter.lead).toMatch(/^Book the dealer for the hill tractor/);
    expect(links(letter).map(({ url }) => url)).not.toContain(`http://shed.example:8377/sheet/${visit.id}`);
    expect(links(letter)[0]?.label).toBe('Done by the dealer? Say so here');
    expect(whole(letter)).not.toContain('Still to buy');
  });

  test('other answers are spoken of only where a link takes them', () => {
    expect(whole(write([notice('work')]))).toContain('those answers too');
    expect(whole(write([notice('season', { visit: null, tasks: ['coolant'] })]))).not.toContain('those answers too');
  });

  test('a season without a visit still says what and why', () => {
    const letter = write([notice('season', { visit: null, tasks: ['coolant'], proposedDay: parseDay('2031-10-04') })]);
    expect(letter.lead).toBe(
      'Test the coolant on the hill tractor on Saturday 4 October: it wants doing 21 days before the first frost.',
    );
  });

  test('trouble leads with the trouble and tells the rest', () => {
    const ill = context({
      outlook: { ...outlook, problems: ['the sensor of the hill tractor is silent', 'mail is refused'] },
    });
    const letter = write(
      [notice('trouble', { machine: null, visit: null, tasks: [], because: 'mail is refused' })],
      ill,
    );
    expect(letter.subject).toBe('Cork Oak Hollow: mail is refused');
    expect(below(letter, 'Also')).toEqual(['The sensor of the hill tractor is silent.']);
  });

  test('links that open on one computer only are called so, once, before the first of them', () => {
    const letter = write([notice('work'), asking()], context({ links: { ...context().links, opensElsewhere: false } }));
    const told = letter.blocks.map((block) => block.kind === 'text' && block.text.startsWith('These links open only'));
    expect(told.filter(Boolean)).toHaveLength(1);
    expect(told.indexOf(true)).toBe(letter.blocks.findIndex((block) => block.kind === 'link') - 1);
    expect(whole(write([notice('work')]))).not.toContain('open only');
  });

  test('an American household reads quarts and months first', () => {
    const us = context({ home: { ...home, household: { ...home.household, units: 'us', locale: 'en-US' } } });
    const letter = write([notice('work')], us);
    expect(letter.subject).toContain('Sat March 22');
    expect(below(letter, 'Still to buy')[1]).toContain('3.4 US qt (3.2 L) engine oil 5W-40');
  });
});

describe('several things in one letter', () => {
  const several = write([asking({ machine: generator.id }), notice('parts'), notice('work')]);

  test('lead with the most pressing one and say how much more there is', () => {
    expect(several.lead).toMatch(/^Change engine oil and filter.* One more thing stands below\.$/);
    expect(several.subject).toBe('Hill tractor: change engine oil and filter +2, Sat 22 March; and one more');
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
      'Hill tractor: buy parts as soon as you can, for Sat 22 March',
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
