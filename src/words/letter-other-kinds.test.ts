import { describe, expect, test } from 'vitest';
import { asking, below, links, whole, withVisit, write } from '../../tests/stage/letter-said.js';
import { context, generator, home, item, notice, outlook, sheet, visit } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import type { Reading } from '../domain/facts.js';
import type { Spread } from '../domain/results/due.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import { nobodyKnows } from '../domain/results/sheet.js';

const alter = (more: Partial<MachineOutlook>): Outlook => ({
  ...outlook,
  machines: outlook.machines.map((one, at) => (at === 0 ? { ...one, ...more } : one)),
});

describe('other letters', () => {
  test('buying: what, for which machine, by when, and how sure', () => {
    const letter = write(
      [notice('parts', { proposedDay: parseDay('2031-03-29') })],
      withVisit({ buyBy: parseDay('2031-03-25') }),
    );
    expect(letter.subject).toBe('Hill tractor: buy engine oil filter +1 by Tue 25 March, for Sat 29 March');
    expect(letter.lead).toMatch(
      /^Buy the engine oil filter and the engine oil for the hill tractor by Tuesday 25 March: .*Saturday 29 March.*between 27 March and 24 April/,
    );
    expect(below(letter, 'To buy')).toHaveLength(2);
    expect(whole(letter)).not.toContain('Where no number stands');
  });

  test('buying: the manual has the last word, and what reaches its limit is a job, not a part', () => {
    const letter = write([notice('parts')]);
    expect(whole(letter)).toContain('manual comes first');
    expect(letter.lead).toContain('the first of its jobs reaches its limit');
    expect(letter.lead).not.toContain('of them');
  });

  test('buying: where the hours are in doubt by months, a look at the meter comes before the shop', () => {
    const due = { p10: parseDay('2031-03-27'), p50: parseDay('2031-11-08'), p90: parseDay('2032-04-24') };
    const letter = write([notice('parts')], withVisit({ due, cause: { kind: 'wide' } }));
    expect(whole(letter)).toContain('Look at the meter first.');
    expect(whole(letter).indexOf('Look at the meter first.')).toBeLessThan(whole(letter).indexOf('To buy'));
    expect(links(letter).map(({ label }) => label)).toContain('Enter what the meter shows');
    expect(letter.lead).toContain('before the likeliest day, because the hours may come sooner');
    const near = { p10: parseDay('2031-03-23'), p50: parseDay('2031-03-27'), p90: parseDay('2031-04-01') };
    expect(whole(write([notice('parts')], withVisit({ due: near })))).not.toContain('at the meter first');
  });

  test('no letter names a meter that shows less than it did: where the bound is where it stood, it may still stand', () => {
    const standing = (hoursNow: Spread<number>, lastReading: Reading | null) =>
      whole(write([notice('work')], context({ outlook: alter({ hoursNow, lastReading }) })));
    const read = {
      id: 'r1',
      atMs: outlook.nowMs - 86_400_000,
      hours: 0.4,
      about: false,
      door: 'page',
      by: null,
    } as const;
    expect(standing({ p10: 0.4, p50: 3, p90: 13 }, read)).toContain(
      'If it still shows 0.4 h or hardly more, there is no hurry',
    );
    expect(standing({ p10: 9, p50: 13, p90: 40 }, read)).toContain(
      'If it shows less than about 9 h, there is no hurry',
    );
    expect(standing({ p10: 9, p50: 13, p90: 40 }, null)).toContain(
      'If it shows less than about 9 h, there is no hurry',
    );
  });

  test('a first look says once, and not behind each job, that nobody knows its past', () => {
    const known = { ...visit, kind: 'getting-to-know', pulledForward: [] } as const;
    const lines = sheet.lines.map((line) => (line.kind === 'task' ? { ...line, why: nobodyKnows } : line));
    const sheets = new Map([[visit.id, { ...sheet, visit: known, lines }]]);
    const letter = write([notice('work')], context({ outlook: { ...outlook, visits: [known] }, sheets }));
    expect(letter.lead).toContain('nobody knows when its jobs were last done');
    const listed = letter.blocks.flatMap((block) => (block.kind === 'numbered' ? block.items : []));
    expect(listed).toEqual([
      'Check the fan belt, 10 min',
      'Change engine oil and filter, 35 min',
      'Grease the loader pins, 20 min',
    ]);
  });

  test('a first look is asked for before anything is bought', () => {
    const letter = write([notice('work')], withVisit({ kind: 'getting-to-know', buyBy: null }));
    expect(letter.lead).toContain('Look first, and write down what it needs');
    expect(letter.lead).toContain('nobody knows when its jobs were last done');
    expect(letter.lead).toContain('buy nothing yet');
    expect(whole(letter)).not.toMatch(/still to buy|unless you have|40-1187/i);
    const begun = write([notice('work')], withVisit({ kind: 'getting-to-know' }));
    expect(begun.lead).not.toContain('Look first');
    expect(below(begun, 'Still to buy')).toHaveLength(2);
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
    expect(letter.subject).toBe('Hill tractor: still to do, change engine oil and filter +2, Sat 3 May, 1 h 05');
    expect(letter.lead).toBe(
      'Still to do on the hill tractor: change engine oil and filter, which has almost certainly passed its limit, between 27 March and 24 April, most likely about 8 April; so do it, and two more, this Saturday, 3 May.',
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
