import { expect, it } from 'vitest';
import { announce, confirm, stateOf } from '../../tests/stage/confirm-mower.js';
import { factsAbout, mower, stageBooks, stagedHome } from '../../tests/stage/ledger-books.js';
import { addDays, parseDay } from '../domain/day.js';
import type { Finding } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import { openFindings, tasksPartlyDone } from '../domain/open-findings.js';
import { enterNight } from './enter-night.js';
import { setStock } from './stock.js';

const gap = { task: 'engine-oil', measurement: 'gap', place: null, left: null, verdict: null, note: null };

const firstNight = parseDay('2030-01-01');

it('what is found outside its limits and left so stays open, with its finding on record; the rest is done', () => {
  const books = stageBooks();
  announce(books);
  setStock(books, { machine: mower.id, name: 'oil filter', amount: 1, by: null, key: null });
  const out = { findings: [{ ...gap, found: '0.2 mm' }], minutes: 40 };
  expect(confirm(books, out)).toMatchObject({
    kind: 'recorded',
    record: { tasks: ['blades'], minutes: 40, findings: [{ task: 'engine-oil', found: '0.2 mm', verdict: 'out' }] },
  });
  expect(stateOf(books)).toBe('open');
  expect(openFindings(mower, factsAbout(books))).toMatchObject([{ task: 'engine-oil', day: '2031-04-05' }]);
  expect(factsAbout(books).stock).toMatchObject({ 'oil filter': 1 });
  books.setNow('2031-04-06T09:00');
  const mended = { day: parseDay('2031-04-06'), tasks: ['engine-oil'], findings: [{ ...gap, found: '0.12 mm' }] };
  expect(confirm(books, mended)).toMatchObject({ kind: 'recorded', record: { tasks: ['engine-oil'] } });
  expect(openFindings(mower, factsAbout(books))).toEqual([]);
  expect(stateOf(books)).toBe('done');
});

it('a value as left within the limits closes the job, one outside them does not, nor does what was never within', () => {
  const closes = (found: string | null, left: string | null) => {
    const answer = confirm(stageBooks(), { tasks: ['engine-oil'], findings: [{ ...gap, found, left }] });
    return answer.kind === 'refused' ? answer.fault.line : answer.record.tasks.length === 1;
  };
  expect(closes('0.2 mm', '0.12 mm')).toBe(true);
  expect(closes('0.2 mm', '0.18 mm')).toBe(false);
  expect(closes('0.12 mm', '0.2 mm')).toBe(false);
  expect(closes('0.2 mm', null)).toBe(false);
  expect(closes(null, '0.2 mm')).toBe(false);
});

it('a low level that was topped up is well again, one that was not stays open', () => {
  const level = { id: 'level', name: 'Oil', specification: { kind: 'level', marks: 'two marks' } as const };
  const tasks = mower.tasks.map((task) => (task.id === 'blades' ? { ...task, measure: [level] } : task));
  const closes = (found: string) => {
    const books = stageBooks({ home: { ...stagedHome, machines: [{ ...mower, tasks }] } });
    const answer = confirm(books, {
      tasks: ['blades'],
      findings: [{ ...gap, task: 'blades', measurement: 'level', found }],
    });
    return answer.kind === 'recorded' && answer.record.tasks.length === 1;
  };
  expect(closes('below the lower mark, 0.2 L')).toBe(true);
  expect(closes('below the lower mark')).toBe(false);
  expect(closes('above the upper mark')).toBe(false);
});

it('the same finding sent twice is one record, under the same key and under another', () => {
  const books = stageBooks();
  announce(books);
  const out = { tasks: ['engine-oil'], findings: [{ ...gap, found: '0.2 mm' }] };
  expect(confirm(books, { ...out, key: 'form-1' }).kind).toBe('recorded');
  expect(confirm(books, { ...out, key: 'form-1' })).toMatchObject({ kind: 'already', record: { id: 'record-1' } });
  expect(confirm(books, { ...out, key: 'form-2' })).toMatchObject({ kind: 'already', record: { id: 'record-1' } });
  expect(factsAbout(books).records).toHaveLength(1);
  expect(confirm(books, { ...out, findings: [{ ...gap, found: '0.3 mm' }] }).kind).toBe('recorded');
});

it('coolant is judged by the household’s coldest night, named or learnt, and by the plan’s figure where none is known', () => {
  const strength = {
    id: 'frost',
    name: 'frost',
    specification: { kind: 'atMost', max: '-26 C', belowColdest: '8 C' },
  } as const;
  const tasks = mower.tasks.map((task) => (task.id === 'blades' ? { ...task, measure: [strength] } : task));
  const verdict = (more: Partial<Household>, coldestSeen?: number) => {
    const household = { ...stagedHome.household, ...more };
    const books = stageBooks({ home: { household, machines: [{ ...mower, tasks }] } });
    const nights = coldestSeen === undefined ? [] : Array.from({ length: 400 }, (_, i) => addDays(firstNight, i));
    for (const day of nights) enterNight(books, { day, celsius: day.endsWith('01-15') ? (coldestSeen ?? 0) : 6 });
    const finding = { ...gap, task: 'blades', measurement: 'frost', found: '-20 C' };
    const answer = confirm(books, { tasks: ['blades'], findings: [finding] });
    return answer.kind === 'recorded' ? answer.record.findings[0]?.verdict : null;
  };
  const temperature = { topic: 'garden/air', unit: 'C' } as const;
  expect(verdict({})).toBe('out');
  expect(verdict({ coldestCelsius: -10 })).toBe('in');
  expect(verdict({ coldestCelsius: -14 })).toBe('out');
  // One winter seen: three degrees are taken off its coldest night.
  expect(verdict({ temperature }, -7)).toBe('in');
  expect(verdict({ temperature }, -11)).toBe('out');
});

it('a bare number is recorded in the unit that was asked for, any other in its own; a refusal names place and value', () => {
  const foundAs = (found: string) => {
    const answer = confirm(stageBooks(), { findings: [{ ...gap, found, left: '0.12' }] });
    return answer.kind === 'refused' ? answer.fault.place : answer.record.findings[0];
  };
  expect(foundAs('0,2')).toMatchObject({ found: '0,2 mm', left: '0.12 mm' });
  expect(foundAs('0.008 in')).toMatchObject({ found: '0.008 in' });
  expect(foundAs('wide')).toBe('engine-oil, gap, as found');
  const left = confirm(stageBooks(), { findings: [{ ...gap, found: '0.2', left: '2 L' }] });
  expect(left).toMatchObject({ kind: 'refused', fault: { place: 'engine-oil, gap, as left' } });
});

// Source: common practice, no source.
it('points and sound places of a job that is not ticked are kept as partly done: the job stays due, nothing waits to be mended', () => {
  const look = { id: 'joints', name: 'joints', specification: { kind: 'look', sound: 'dry' } as const };
  const tasks = mower.tasks.map((task) => (task.id === 'blades' ? { ...task, measure: [look] } : task));
  const home = { ...stagedHome, machines: [{ ...mower, tasks }] };
  const greased = { ...gap, task: 'blades', measurement: 'points at spindles', found: 'greased 1 of 3 left' };
  const seen = { ...gap, task: 'blades', measurement: 'joints', found: 'dry' };
  for (const ticked of [['engine-oil'], []]) {
    const books = stageBooks({ home });
    announce(books);
    const answer = confirm(books, { tasks: ticked, findings: [greased, seen] });
    if (answer.kind === 'refused') throw answer.fault;
    expect(answer.record).toMatchObject({ tasks: ticked, findings: [{ found: greased.found }, { verdict: 'in' }] });
    expect(tasksPartlyDone(answer.record)).toEqual(['blades']);
    expect(openFindings({ tasks }, factsAbout(books))).toEqual([]);
    expect(stateOf(books)).toBe('open');
    // Sent again it is the same record.
    expect(confirm(books, { tasks: ticked, findings: [greased, seen] })).toMatchObject({ kind: 'already' });
    expect(factsAbout(books).records).toHaveLength(1);
  }
});

it('a place that is not sound, a value, or a job outside the visit still asks for its tick', () => {
  const look = { id: 'joints', name: 'joints', specification: { kind: 'look', sound: 'dry' } as const };
  const tasks = mower.tasks.map((task) => (task.id === 'blades' ? { ...task, measure: [look] } : task));
  const home = { ...stagedHome, machines: [{ ...mower, tasks }] };
  const refused = (ticked: string, findings: readonly Finding[]) => {
    const answer = confirm(stageBooks({ home }), { tasks: [ticked], findings });
    return answer.kind === 'refused' ? answer.fault.code : answer.kind;
  };
  const joints = { ...gap, task: 'blades', measurement: 'joints' };
  expect(refused('engine-oil', [{ ...joints, found: 'dripping' }])).toBe('finding-of-another-task');
  expect(refused('engine-oil', [{ ...joints, found: 'dripping', left: 'dry' }])).toBe('finding-of-another-task');
  expect(refused('blades', [{ ...gap, found: '0.12 mm' }])).toBe('finding-of-another-task');
  expect(refused('blades', [{ ...gap, task: 'strange', measurement: 'points at x', found: 'greased 1 of 1' }])).toBe(
    'finding-of-another-task',
  );
});
