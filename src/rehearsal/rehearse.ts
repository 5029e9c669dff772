import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openService } from '../daemon/wire.js';
import { type Day, startOfDay } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Log } from '../domain/outside.js';
import { allLetters } from '../ledger/outbox.js';
import { calendarPolicy } from './baseline-calendar.js';
import { linePolicy } from './baseline-line.js';
import { feedDays } from './feed-days.js';
import { liveThrough } from './live-through.js';
import type { PersonHabits } from './person/habits.js';
import { ourPolicy, type PolicyAtWork, type Rehearsed } from './policy.js';
import { seededRandom, seedFor } from './random.js';
import { type RehearsalReport, writeReport } from './report.js';
import { scriptedFeed } from './scripted-feed.js';
import { simulatedClock } from './simulated-clock.js';
import { firstHours, stageHome } from './stage-home.js';
import { trueHours, type UsageDay } from './truth/true-hours.js';

const quiet: Log = { error: () => {}, warn: () => {}, info: () => {}, debug: () => {} };

/** Who decides what is said: this service, or one of two simpler ways to compare it with. */
export const policyNames = ['ours', 'calendar', 'line'] as const;
export type PolicyName = (typeof policyNames)[number];

/** Runs the real turn of the service (ledger, SQLite, outbox, letters as files) in a folder of its own, on a simulated
 *  clock, against a scripted usage and person. The same input and seed give the same report.
 *  @param usage     hours a day, by machine
 *  @param feedShare share of the days that a feed covers, in blocks; null: no feed
 *  @param tasks     only these, on the machines that have them; null: all
 *  @param policy    by name, or one made for the purpose
 *  @throws LifeStopped where `stopping` called it off */
export async function rehearse(input: {
  readonly home: Home;
  readonly usage: ReadonlyMap<string, readonly UsageDay[]>;
  readonly from: Day;
  readonly to: Day;
  readonly habits: PersonHabits;
  readonly feedShare: number | null;
  readonly tasks: readonly string[] | null;
  readonly policy: PolicyName | ((rehearsed: Rehearsed) => PolicyAtWork);
  readonly stopping: AbortSignal;
}): Promise<RehearsalReport> {
  const { from, to, habits, feedShare: share } = input;
  const home = stageHome(input.home, from, input.tasks, share !== null);
  const { zone } = home.household;
  const truth = new Map(
    home.machines.map((machine) => [
      machine.id,
      trueHours(input.usage.get(machine.id) ?? [], firstHours(machine), from, to, zone),
    ]),
  );
  const homeDir = mkdtempSync(join(tmpdir(), 'shedbell-rehearsal-'));
  try {
    const clock = simulatedClock(startOfDay(from, zone));
    const service = openService({ homeDir, home, clock, log: quiet });
    try {
      const make = typeof input.policy === 'string' ? policies[input.policy] : input.policy;
      const { policy, errands } = make({ service, truth, from, to });
      const feeds = [...truth].flatMap(([machine, meter]) => {
        if (share === null) return [];
        const days = feedDays(from, to, share, seededRandom(seedFor(habits.seed, `feed ${machine}`)));
        return scriptedFeed(service.books, machine, meter, days);
      });
      const diary = await liveThrough({
        books: service.books,
        policy,
        deliver: () => service.deliver(),
        clock,
        truth,
        habits,
        heeds: ['work', 'late'],
        from,
        to,
        errands: [...feeds, ...errands],
        stopping: input.stopping,
      });
      const letters = new Map(allLetters(service.books).map((letter) => [letter.message, letter]));
      return writeReport(diary, home, truth, letters);
    } finally {
      service.close();
    }
  } finally {
    rmSync(homeDir, { recursive: true, force: true });
  }
}

const policies: Readonly<Record<PolicyName, (rehearsed: Rehearsed) => PolicyAtWork>> = {
  ours: ourPolicy,
  calendar: calendarPolicy,
  line: linePolicy,
};
