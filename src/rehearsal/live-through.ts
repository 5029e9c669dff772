import { type Day, endOfDay, startOfDay } from '../domain/day.js';
import type { NoticeKind } from '../domain/household.js';
import type { Visit } from '../domain/results/visit.js';
import type { Books } from '../ledger/books.js';
import { gather } from '../ledger/gather.js';
import { type Diary, newDiary } from './diary.js';
import { type Errand, newErrands } from './errands.js';
import type { PersonHabits } from './person/habits.js';
import { scriptedPerson } from './person/scripted-person.js';
import type { Policy } from './policy.js';
import type { SimulatedClock } from './simulated-clock.js';
import type { TrueHours } from './truth/true-hours.js';

/** A life that was called off before its end. */
export class LifeStopped extends Error {}

/** Lives from the start of `from` to the end of `to` (or to `untilMs` before it): a turn of the policy at every instant it
 *  asks for and whenever a fact changed, a delivery whenever it wrote something, and a person who answers, buys and works by
 *  their habits.
 *  @param deliver  empties the outbox
 *  @param truth    what each machine's meter really shows
 *  @param heeds    kinds of notice that make the person go to work
 *  @param errands  what else happens: feeds, readings, runs told by a person
 *  @param stopping calls it off between two turns
 *  @param tell     told of each instant that is lived
 *  @throws LifeStopped */
export async function liveThrough(input: {
  readonly books: Books;
  readonly policy: Policy;
  readonly deliver: () => Promise<unknown>;
  readonly clock: SimulatedClock;
  readonly truth: ReadonlyMap<string, TrueHours>;
  readonly habits: PersonHabits;
  readonly heeds: readonly NoticeKind[];
  readonly from: Day;
  readonly to: Day;
  readonly untilMs?: number;
  readonly errands: readonly Errand[];
  readonly stopping: AbortSignal;
  readonly tell?: (nowMs: number) => void;
}): Promise<Diary> {
  const { books, policy, clock, truth, habits } = input;
  const { zone } = books.home().household;
  const diary = newDiary();
  const errands = newErrands();
  const hear = scriptedPerson({ books, truth, habits, heeds: input.heeds, errands, diary });
  for (const errand of input.errands) errands.plan(errand);

  const heard = new Set<string>();
  const listen = (visits: readonly Visit[]) => {
    const { machines, householdSent } = gather(books);
    const sent = [
      ...machines.flatMap((facts) => facts.sent.map((notice) => ({ machine: facts.machine, notice }))),
      ...householdSent.map((notice) => ({ machine: null, notice })),
    ];
    for (const { machine, notice } of sent) {
      if (heard.has(notice.id)) continue;
      heard.add(notice.id);
      diary.notices.push({ ...notice, machine });
      const visit = visits.find((v) => v.id === notice.visit) ?? null;
      if (machine !== null) hear({ machine, notice, visit });
    }
  };

  const endMs = Math.min(endOfDay(input.to, zone), input.untilMs ?? Number.POSITIVE_INFINITY);
  clock.set(startOfDay(input.from, zone));
  for (;;) {
    // Signals and sockets get their turn too.
    await new Promise((done) => setImmediate(done));
    if (input.stopping.aborted) throw new LifeStopped('stopped before the end');
    input.tell?.(clock.nowMs());
    const { nextLookMs, posted, visits } = policy.turn();
    if (posted > 0) {
      await input.deliver();
      listen(visits);
    }
    const nextMs = Math.min(nextLookMs, errands.nextMs() ?? Number.POSITIVE_INFINITY);
    if (nextMs > endMs) break;
    clock.set(nextMs);
    errands.runUntil(nextMs);
  }
  clock.set(endMs);
  return diary;
}
