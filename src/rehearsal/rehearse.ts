import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openService } from '../daemon/wire.js';
import { type Day, startOfDay } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Log } from '../domain/outside.js';
import { allLetters } from '../ledger/outbox.js';
import { feedDays } from './feed-days.js';
import { liveThrough } from './live-through.js';
import type { PersonHabits } from './person.js';
import { seededRandom, seedFor } from './random.js';
import { type RehearsalReport, writeReport } from './report.js';
import { simulatedClock } from './simulated-clock.js';
import { firstHours, stageHome } from './stage-home.js';
import { trueHours, type UsageDay } from './true-hours.js';

const quiet: Log = { error: () => {}, warn: () => {}, info: () => {}, debug: () => {} };

/** Runs the real turn of the service (ledger, SQLite, outbox, letters as files) in a folder of its own, on a simulated
 *  clock, against a scripted usage and person. The same input and seed give the same report.
 *  @param usage     hours a day, by machine
 *  @param feedShare share of the days that a feed covers, in blocks; null: no feed */
export async function rehearse(input: {
  readonly home: Home;
  readonly usage: ReadonlyMap<string, readonly UsageDay[]>;
  readonly from: Day;
  readonly to: Day;
  readonly habits: PersonHabits;
  readonly feedShare: number | null;
  readonly tasks: readonly string[] | null;
}): Promise<RehearsalReport> {
  const home = stageHome(input.home, input.from, input.tasks);
  const { zone } = home.household;
  const truth = new Map(
    home.machines.map((machine) => [
      machine.id,
      trueHours(input.usage.get(machine.id) ?? [], firstHours(machine), input.from, input.to, zone),
    ]),
  );
  const share = input.feedShare;
  const covered =
    share === null
      ? undefined
      : new Map(
          home.machines.map((machine) => [
            machine.id,
            feedDays(input.from, input.to, share, seededRandom(seedFor(input.habits.seed, `feed ${machine.id}`))),
          ]),
        );
  const homeDir = mkdtempSync(join(tmpdir(), 'shedbell-rehearsal-'));
  const clock = simulatedClock(startOfDay(input.from, zone));
  const service = openService({ homeDir, home, clock, log: quiet });
  try {
    const diary = await liveThrough({
      service,
      clock,
      truth,
      habits: input.habits,
      from: input.from,
      to: input.to,
      ...(covered === undefined ? {} : { feedDays: covered }),
    });
    const letters = new Map(
      allLetters(service.books).map((l) => [l.message, { channel: l.channel, subject: l.letter.subject }] as const),
    );
    return writeReport(diary, home, truth, letters);
  } finally {
    service.close();
    rmSync(homeDir, { recursive: true, force: true });
  }
}
