import { expect } from 'vitest';
import { dayMs } from '../../src/domain/day.js';
import type { MachineFacts, SentNotice } from '../../src/domain/facts.js';
import type { Household } from '../../src/domain/household.js';
import type { Machine } from '../../src/domain/machine.js';
import type { Due } from '../../src/domain/results/due.js';
import type { Message } from '../../src/domain/results/notice.js';
import type { Task } from '../../src/domain/task.js';
import { type Decision, decideMessages } from '../../src/reminders/decide.js';
import type { Foresight } from '../../src/visits/foresight.js';
import { planVisits } from '../../src/visits/plan-visits.js';
import { aHousehold, aMachine, aTask, at, inDays, someFacts, written } from './visit-scene.js';

/** One machine and what is known of it. */
export interface Scene {
  readonly dues: readonly Due[];
  readonly tasks?: readonly Task[];
  readonly machine?: Partial<Machine>;
  readonly facts?: Partial<MachineFacts>;
  readonly household?: Partial<Household>;
  readonly foresight?: Foresight | null;
}

/** What the policy says at an instant, and the facts once that is written down. */
export function decide(
  scene: Scene,
  nowMs: number,
  facts = someFacts(scene.facts),
): Decision & { facts: MachineFacts } {
  const household = aHousehold(scene.household);
  const machine = aMachine(scene.tasks ?? scene.dues.map((due) => aTask(due.task)), scene.machine);
  const foresight = scene.foresight ?? null;
  const visits = planVisits(machine, facts, scene.dues, household, nowMs, foresight);
  const decision = decideMessages({
    home: { household, machines: [machine] },
    facts: { version: 1, machines: [facts], householdSent: [] },
    outlooks: [{ machine, facts, foresight, dues: scene.dues, visits }],
    nowMs,
  });
  return { ...decision, facts: written(facts, decision.messages, visits, nowMs) };
}

/** Lives on, looking only when the policy asks for it, and tells what was said when. */
export function live(scene: Scene, fromMs: number, days: number): { atMs: number; message: Message }[] {
  let facts = someFacts(scene.facts);
  const said: { atMs: number; message: Message }[] = [];
  for (let nowMs = fromMs; nowMs < fromMs + days * dayMs; ) {
    const decision = decide(scene, nowMs, facts);
    facts = decision.facts;
    said.push(...decision.messages.map((message) => ({ atMs: nowMs, message })));
    expect(decision.nextLookMs - nowMs).toBeGreaterThanOrEqual(60_000);
    expect(decision.nextLookMs - nowMs).toBeLessThanOrEqual(7 * dayMs);
    nowMs = decision.nextLookMs;
  }
  return said;
}

/** What kinds of notices messages hold, in their order. */
export const kindsOf = (messages: readonly Message[]) => messages.flatMap(({ notices }) => notices.map((n) => n.kind));

/** A call to work that was sent ten days ago, for the day after. */
export function sentNotice(over: Partial<SentNotice>): SentNotice {
  return {
    id: 's',
    message: 's',
    kind: 'work',
    visit: 'orchard-mower-oil-2',
    tasks: ['oil'],
    to: 'ines',
    atMs: at(-10),
    proposedDay: inDays(-9),
    ...over,
  };
}
