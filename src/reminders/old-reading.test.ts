import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import { dayMs } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import { meterHours } from '../domain/meter-hours.js';
import type { Message } from '../domain/results/notice.js';
import type { Foresight } from '../visits/foresight.js';
import { planVisits } from '../visits/plan-visits.js';
import { decideMessages } from './decide.js';

const oil = aDue('oil', 300, { limit: 'hours', targetHours: meterHours(200), intervalHours: 100, toleranceHours: 10 });

/** Use at an even pace from 100 h on, known for certain. */
function evenPace(hoursADay: number, readMs: number): Foresight {
  const hoursAt = (atMs: number) => 100 + (hoursADay * (atMs - readMs)) / dayMs;
  return {
    hoursQuantiles: (atMs, levels) => levels.map(() => hoursAt(atMs)),
    pReachedGiven: (hours, nowMs, target, atMs) => (hours + hoursAt(atMs) - hoursAt(nowMs) >= target ? 1 : 0),
  };
}

function said(
  readDay: number,
  hoursADay: number,
  sent: MachineFacts['sent'] = [],
  due = oil,
  coverage: MachineFacts['coverage'] = [],
): readonly Message[] {
  const readMs = at(readDay);
  const household = aHousehold();
  const machine = aMachine([aTask('oil')]);
  const facts = someFacts({
    readings: [{ id: 'r', atMs: readMs, hours: 100, about: false, door: 'page', by: 'ines' }],
    sent,
    coverage,
  });
  const foresight = evenPace(hoursADay, readMs);
  // Evening of a Wednesday: three days before the working day.
  const nowMs = at(0, '18:30');
  const visits = planVisits(machine, facts, [due], household, nowMs, foresight);
  return decideMessages({
    home: { household, machines: [machine] },
    facts: { version: 1, machines: [facts], householdSent: [] },
    outlooks: [{ machine, facts, foresight, dues: [due], visits }],
    nowMs,
  }).messages;
}

const asks = (messages: readonly Message[]) =>
  messages.flatMap((m) => m.notices.map((n) => n.kind)).includes('reading');

test('after months without a reading the hours are asked for, where twice the use would bring the work near', () => {
  const messages = said(-190, 0.25);
  expect(asks(messages)).toBe(true);
  expect(messages[0]?.notices[0]?.because).toContain(`last read on ${inDays(-190)}`);
});

test('a younger reading is left alone, however far changed habits would have come', () => {
  expect(asks(said(-170, 0.3))).toBe(false);
});

test('a machine that would be far from its limit even at twice the use is left in peace', () => {
  expect(asks(said(-190, 0.05))).toBe(false);
  expect(asks(said(-190, 0.22))).toBe(false);
});

test('without an answer it is not asked again for six weeks', () => {
  const asked = (days: number): MachineFacts['sent'] => [
    {
      id: 's',
      message: 's',
      kind: 'reading',
      visit: null,
      tasks: ['oil'],
      to: 'ines',
      atMs: at(days),
      proposedDay: null,
    },
  ];
  expect(asks(said(-190, 0.25, asked(-20)))).toBe(false);
  expect(asks(said(-190, 0.25, asked(-43)))).toBe(true);
});

test('no reading is asked for that could not bring work forward: its limit is the calendar', () => {
  expect(asks(said(-190, 0.25, [], aDue('oil', 300)))).toBe(false);
});

test('what a sensor saw counts as read: it is asked for only months after the sensor fell silent', () => {
  const heard = [{ fromMs: at(-200), toMs: at(-30) }];
  expect(asks(said(-200, 0.25, [], oil, heard))).toBe(false);
  expect(asks(said(-200, 0.25))).toBe(true);
});
