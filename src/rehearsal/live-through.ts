import type { Service } from '../daemon/wire.js';
import { type Day, endOfDay, startOfDay } from '../domain/day.js';
import { gather } from '../ledger/gather.js';
import { type Diary, newDiary } from './diary.js';
import { type Errand, newErrands } from './errands.js';
import type { PersonHabits } from './person.js';
import { scriptedFeed } from './scripted-feed.js';
import { scriptedPerson } from './scripted-person.js';
import type { SimulatedClock } from './simulated-clock.js';
import type { TrueHours } from './true-hours.js';

/** Lives through the days from `from` to `to` (included): the real turn at every instant the outlook asks for,
 *  a person who answers, buys and works by their habits, and a feed on the days it covers.
 *  @param service  open on `clock`
 *  @param truth    what each machine's meter really shows
 *  @param feedDays days on which a machine's feed is alive; absent: no feed
 *  @param errands  what else happens, such as runs told by a person */
export async function liveThrough(input: {
  readonly service: Service;
  readonly clock: SimulatedClock;
  readonly truth: ReadonlyMap<string, TrueHours>;
  readonly habits: PersonHabits;
  readonly from: Day;
  readonly to: Day;
  readonly feedDays?: ReadonlyMap<string, ReadonlySet<Day>>;
  readonly errands?: readonly Errand[];
}): Promise<Diary> {
  const { service, clock, truth, habits } = input;
  const { books } = service;
  const { zone } = books.home().household;
  const diary = newDiary();
  const errands = newErrands();
  const hear = scriptedPerson({ service, truth, habits, errands, diary });
  for (const errand of input.errands ?? []) errands.plan(errand);
  for (const [machine, days] of input.feedDays ?? []) {
    const meter = truth.get(machine);
    if (meter !== undefined) for (const errand of scriptedFeed(service, machine, meter, days)) errands.plan(errand);
  }

  const heard = new Set<string>();
  const listen = () => {
    for (const facts of gather(books).machines) {
      for (const notice of facts.sent) {
        if (heard.has(notice.id)) continue;
        heard.add(notice.id);
        diary.notices.push({ ...notice, machine: facts.machine });
        hear(facts.machine, notice);
      }
    }
  };

  const endMs = endOfDay(input.to, zone);
  clock.set(startOfDay(input.from, zone));
  for (;;) {
    const { nextLookMs, posted } = service.turn();
    if (posted > 0) {
      await service.deliver();
      listen();
    }
    const nextMs = Math.min(nextLookMs, errands.nextMs() ?? Number.POSITIVE_INFINITY);
    if (nextMs > endMs) break;
    clock.set(nextMs);
    errands.runUntil(nextMs);
  }
  clock.set(endMs);
  return diary;
}
