import { expect, test } from 'vitest';
import { decide, kindsOf, live, sentNotice } from '../../tests/stage/told.js';
import { aDue, at, inDays } from '../../tests/stage/visit-scene.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import { meterHours } from '../domain/meter-hours.js';
import type { Foresight } from '../visits/foresight.js';

const overdue = aDue('oil', -3, { tolerance: 200 });

/** Hours that are either long past the limit or far from it: worth asking. */
const torn: Foresight = {
  hoursQuantiles: (_, levels) => levels.map((level) => 900 + 220 * level),
  pReachedGiven: (hours, _now, target) => (hours + 5 >= target ? 1 : 0),
};
const hoursDue = aDue('oil', 20, {
  limit: 'hours',
  targetHours: meterHours(1100),
  intervalHours: 100,
  toleranceHours: 10,
  spread: 60,
  tolerance: 5,
});

function reading(days: number): MachineFacts['readings'][number] {
  return { id: `r${days}`, atMs: at(days), hours: 900, about: false, door: 'page', by: 'ines' };
}

test('the meter is asked about when its answer could change what is done, days before the working day', () => {
  const { messages } = decide(
    { dues: [hoursDue], foresight: torn, facts: { readings: [reading(-60)] } },
    at(0, '18:30'),
  );
  expect(kindsOf(messages)).toEqual(['reading']);
  expect(messages[0]?.notices[0]?.because).toMatch(/^The hours decide whether “Look after the oil” on .* can wait\.$/);
});

test('on the eve of its day the work itself is called for: an answer would come when the weekend is lost', () => {
  const soon = {
    ...hoursDue,
    ...aDue('oil', 1, { spread: 60, tolerance: 5 }),
    targetHours: meterHours(1100),
    intervalHours: 100,
  };
  const scene = { dues: [soon], foresight: torn, facts: { readings: [reading(-60)] } };
  expect(kindsOf(decide(scene, at(0, '18:30')).messages)).toEqual(['reading']);
  expect(kindsOf(decide(scene, at(2, '18:30')).messages)).toEqual(['work']);
});

test('the eve of a day in the middle of the week calls to work as well, whatever working day follows it', () => {
  // Wednesdays and Saturdays: on Tuesday evening an answer would be for Saturday.
  const soon = { ...aDue('oil', 7, { spread: 60, tolerance: 5 }), targetHours: meterHours(1100), intervalHours: 100 };
  const household = { workingDays: ['wed', 'sat'] as const };
  const scene = { dues: [soon], foresight: torn, facts: { readings: [reading(-60)] }, household };
  const { messages } = decide(scene, at(-1, '18:30'));
  expect(messages.flatMap((m) => m.notices.map((n) => [n.kind, n.proposedDay]))).toEqual([['work', inDays(0)]]);
});

test('on the evening of its own day nobody is asked whether the work can wait', () => {
  const soon = { ...aDue('oil', 7, { spread: 60, tolerance: 5 }), targetHours: meterHours(1100), intervalHours: 100 };
  const household = { workingDays: ['wed', 'sat'] as const };
  const called = [sentNotice({ atMs: at(2, '18:30'), proposedDay: inDays(3) })];
  const visits = [
    {
      id: 'orchard-mower-oil-2',
      machine: 'orchard-mower',
      tasks: ['oil'],
      day: inDays(3),
      revision: 1,
      state: 'open' as const,
      announcedAtMs: at(2, '18:30'),
    },
  ];
  const facts = { readings: [reading(-60)], sent: called, visits };
  expect(kindsOf(decide({ dues: [soon], foresight: torn, facts, household }, at(3, '18:30')).messages)).toEqual([]);
});

test('on the evening of a day that called to the machine its meter is not asked about: the answer may be on its way', () => {
  const household = { workingDays: ['wed', 'sat'] as const };
  const ask = (proposedDay: number) => {
    const called = sentNotice({
      visit: 'orchard-mower-deck-1',
      tasks: ['deck'],
      atMs: at(2),
      proposedDay: inDays(proposedDay),
    });
    const facts = { readings: [reading(-60)], sent: [called] };
    return kindsOf(decide({ dues: [hoursDue], foresight: torn, facts, household }, at(3, '18:30')).messages);
  };
  expect(ask(2)).toEqual(['reading']);
  expect(ask(3)).toEqual([]);
});

test('an unanswered question leaves the call to work to the evening before its day', () => {
  const soon = { ...aDue('oil', 7, { spread: 60, tolerance: 5 }), targetHours: meterHours(1100), intervalHours: 100 };
  const scene = { dues: [soon], foresight: torn, facts: { readings: [reading(-60)] } };
  const said = live(scene, at(0, '18:00'), 4).map((one) => [kindsOf([one.message]), one.atMs]);
  expect(said).toEqual([
    [['reading'], at(0, '18:30')],
    [['work'], at(2, '18:30')],
  ]);
});

test.each<[string, Partial<MachineFacts>, Partial<Machine>]>([
  ['a reading is younger than four days', { readings: [reading(-2)] }, {}],
  [
    'a question went out less than a week ago',
    { readings: [reading(-60)], sent: [sentNotice({ kind: 'reading', visit: null, atMs: at(-5) })] },
    {},
  ],
  ['the machine has no meter', {}, { meter: { kind: 'none' } }],
  [
    'a feed covers the machine',
    { readings: [reading(-60)], coverage: [{ fromMs: at(-60), toMs: at(0, '12:00') }] },
    { feed: { kind: 'run-seconds', topic: 'barn/run', scale: 1, offset: 0, silentAfterMinutes: 15 } },
  ],
])('nobody is asked when %s', (_, facts, machine) => {
  const { messages } = decide({ dues: [hoursDue], foresight: torn, facts, machine }, at(0, '18:30'));
  expect(kindsOf(messages)).not.toContain('reading');
});

test.each([
  [1, -7, true],
  [2, -7, false],
  [2, -14, true],
  [3, -21, false],
  [3, -28, true],
  [9, -49, false],
  [9, -56, true],
])('a question asked %i times in vain, last %i days ago, is asked again: %s', (times, last, isAsked) => {
  const sent = Array.from({ length: times }, (_, i) =>
    sentNotice({ id: `q${i}`, kind: 'reading', visit: null, atMs: at(last - 7 * (times - 1 - i)) }),
  );
  const facts = { readings: [reading(-200)], sent };
  const { messages } = decide({ dues: [hoursDue], foresight: torn, facts }, at(0, '18:30'));
  expect(kindsOf(messages).includes('reading')).toBe(isAsked);
});

test('a reading kept aside is asked about in the next message, never in one of its own', () => {
  const aside = [
    { id: 'a', atMs: at(-1), hours: 1425, question: 'Did you mean 142.5 h?', suggestionHours: 142.5, by: 'ines' },
  ];
  expect(decide({ dues: [aDue('oil', 300)], facts: { aside } }, at(2, '18:30')).messages).toEqual([]);
  expect(kindsOf(decide({ dues: [overdue], facts: { aside } }, at(2, '18:30')).messages)).toEqual(['work', 'reading']);
});
