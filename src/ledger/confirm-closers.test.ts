import { expect, it } from 'vitest';
import { announce, confirm, stateOf } from '../../tests/stage/confirm-mower.js';
import { factsAbout, mower, stageBooks, stagedHome } from '../../tests/stage/ledger-books.js';

it('wheels that were off are not ticked without the torque that closes them, nor is anything else that leaves something open', () => {
  const [oil, blades] = mower.tasks;
  if (oil === undefined || blades === undefined) throw new Error('the mower has two tasks');
  const tasks = [oil, { ...blades, leadsTo: [{ task: oil.id, at: 'once' as const }] }];
  const books = stageBooks({ home: { ...stagedHome, machines: [{ ...mower, tasks }] } });
  announce(books);
  expect(confirm(books, { tasks: [blades.id] })).toMatchObject({
    kind: 'refused',
    fault: { code: 'closing-job-missing', remedy: `Tick both, or leave “${blades.title}” open.` },
  });
  expect(factsAbout(books).records).toHaveLength(0);
  expect(confirm(books, { tasks: [oil.id] }).kind).toBe('recorded');
  expect(confirm(books, { tasks: [blades.id, oil.id] })).toMatchObject({
    kind: 'recorded',
    record: { tasks: [blades.id] },
  });
});

it('the torque that closes wheels is recorded with them, although the visit was not planned for it', () => {
  const [oil, blades, filter] = mower.tasks;
  if (oil === undefined || blades === undefined || filter === undefined) throw new Error('the mower has three tasks');
  const tasks = [oil, { ...blades, leadsTo: [{ task: filter.id, at: 'once' as const }] }, filter];
  const books = stageBooks({ home: { ...stagedHome, machines: [{ ...mower, tasks }] } });
  announce(books);
  expect(confirm(books, { tasks: [blades.id] })).toMatchObject({ fault: { code: 'closing-job-missing' } });
  const finding = { task: filter.id, measurement: 'torque', place: null, found: 'turned', left: null };
  expect(
    confirm(books, { tasks: [blades.id, filter.id], findings: [{ ...finding, verdict: null, note: null }] }),
  ).toMatchObject({ kind: 'recorded', record: { tasks: [blades.id, filter.id], findings: [finding] } });
  expect(stateOf(books)).toBe('open');
  expect(confirm(books)).toMatchObject({ kind: 'recorded', record: { tasks: [oil.id] } });
  expect(stateOf(books)).toBe('done');
});

it('all of a visit said to be done holds what closes it', () => {
  const [oil, blades, filter] = mower.tasks;
  if (oil === undefined || blades === undefined || filter === undefined) throw new Error('the mower has three tasks');
  const tasks = [oil, { ...blades, leadsTo: [{ task: filter.id, at: 'once' as const }] }, filter];
  const books = stageBooks({ home: { ...stagedHome, machines: [{ ...mower, tasks }] } });
  expect(confirm(books)).toMatchObject({ record: { tasks: [oil.id, blades.id, filter.id] } });
});
