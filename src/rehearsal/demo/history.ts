import type { Service } from '../../daemon/wire.js';
import {
  addDays,
  addMonths,
  type Day,
  dayOf,
  daysBetween,
  instantOf,
  parseTimeOfDay,
  startOfDay,
  type Zone,
} from '../../domain/day.js';
import type { Books } from '../../ledger/books.js';
import { enterReading } from '../../ledger/enter-reading.js';
import { enterToldRun } from '../../ledger/enter-told-run.js';
import type { Errand } from '../errands.js';
import { feedDays } from '../feed-days.js';
import { liveThrough } from '../live-through.js';
import { defaultHabits } from '../person/habits.js';
import { ourPolicy } from '../policy.js';
import { seededRandom, seedFor } from '../random.js';
import type { SimulatedClock } from '../simulated-clock.js';
import { trueHours, type UsageDay } from '../truth/true-hours.js';
import { type PlayedFeed, playFeed } from './feed.js';

/** The story that the demo lives through before its page opens. */
export interface DemoScript {
  readonly months: number;
  readonly seed: number;
  /** What each meter showed when the story begins. */
  readonly firstHours: Readonly<Record<string, number>>;
  readonly feed: { readonly machine: string; readonly monthsAgo: number; readonly share: number };
  readonly told: { readonly machine: string; readonly share: number };
}

/** What goes on when the page opens. */
export interface LivedHistory {
  /** What the counter of the run-time sensor shows. */
  readonly sensorSeconds: number;
}

interface Story {
  readonly service: Service;
  readonly clock: SimulatedClock;
  readonly script: DemoScript;
  /** Two years of invented usage by machine; its days of the year are laid over the months of the story. */
  readonly usage: ReadonlyMap<string, readonly UsageDay[]>;
  readonly from: Day;
  /** Where the story ends and the demo goes on live. */
  readonly untilMs: number;
  readonly stopping: AbortSignal;
  readonly tell: (nowMs: number) => void;
}

/** Lives through the story's months, with the same code that runs live.
 *  @throws LifeStopped */
export async function liveDemoHistory(story: Story): Promise<LivedHistory> {
  const { service, clock, script, from, untilMs } = story;
  const { books } = service;
  const { household, machines } = books.home();
  const to = dayOf(untilMs, household.zone);
  const truth = new Map(
    machines.map(({ id }) => [
      id,
      trueHours(laidOver(story.usage.get(id) ?? [], from, to), script.firstHours[id] ?? 0, from, to, household.zone),
    ]),
  );
  clock.set(startOfDay(from, household.zone));
  readFirstHours(books, script);
  const fitted = addMonths(to, -script.feed.monthsAgo);
  const meter = truth.get(script.feed.machine);
  const random = seededRandom(seedFor(script.seed, 'demo feed'));
  // It is alive on the day the page opens: otherwise it would fall silent just before somebody looks.
  const alive = new Set([...feedDays(fitted, to, script.feed.share, random), to]);
  const feed = meter === undefined ? null : playFeed({ books, machine: script.feed.machine, meter, fitted, alive });
  await liveThrough({
    books,
    policy: ourPolicy(story).policy,
    deliver: () => service.deliver(),
    clock,
    truth,
    habits: { ...defaultHabits, seed: script.seed },
    heeds: ['work', 'season', 'late'],
    from,
    to,
    untilMs,
    errands: [...toldErrands(story, to), ...(feed === null ? [] : feedErrands(books, feed, fitted, to))],
    stopping: story.stopping,
    tell: story.tell,
  });
  return { sensorSeconds: feed?.finish(untilMs) ?? 0 };
}

/** The day on which a story of so many months begins. */
export function storyBegins(nowMs: number, months: number, zone: Zone): Day {
  return addMonths(dayOf(nowMs, zone), -months);
}

function readFirstHours(books: Books, script: DemoScript): void {
  for (const [machine, hours] of Object.entries(script.firstHours)) {
    const atMs = books.clock.nowMs();
    enterReading(books, { machine, hours, atMs, by: null, door: 'rehearsal', confirm: true, key: null });
  }
}

/** What the sensor said is played when the household's evening comes, before anything is said. */
function feedErrands(books: Books, feed: PlayedFeed, fitted: Day, to: Day): Errand[] {
  const { evening, zone } = books.home().household;
  return eachDay(fitted, to).map((day) => {
    const atMs = instantOf(day, evening, zone);
    return { atMs, run: () => feed.playUntil(atMs) };
  });
}

const eveningOfUse = parseTimeOfDay('20:10');
/** People say "about 40 minutes". */
const roundedToMinutes = 5;

function toldErrands(story: Story, to: Day): Errand[] {
  const { service, script, from } = story;
  const { books } = service;
  const { zone } = books.home().household;
  const { machine, share } = script.told;
  const random = seededRandom(seedFor(script.seed, 'told'));
  return laidOver(story.usage.get(machine) ?? [], from, to)
    .filter(() => random() < share)
    .map(({ day, hours }) => ({
      atMs: instantOf(day, eveningOfUse, zone),
      run: () => {
        const minutes = Math.max(roundedToMinutes, Math.round((hours * 60) / roundedToMinutes) * roundedToMinutes);
        const atMs = books.clock.nowMs();
        enterToldRun(books, { machine, minutes, atMs, by: null, door: 'rehearsal', key: null, confirm: true });
      },
    }));
}

/** Usage of scripted years laid over other days by day of the year; the years take turns. */
function laidOver(usage: readonly UsageDay[], from: Day, to: Day): UsageDay[] {
  const byDay = new Map<string, number>(usage.map((row) => [row.day, row.hours]));
  const years = [...new Set(usage.map((row) => row.day.slice(0, 4)))].sort();
  if (years.length === 0) return [];
  return eachDay(from, to).flatMap((day) => {
    const year = years[Number(day.slice(0, 4)) % years.length] ?? '';
    const hours = byDay.get(`${year}${day.slice(4)}`);
    return hours === undefined ? [] : [{ day, hours }];
  });
}

function eachDay(from: Day, to: Day): Day[] {
  return Array.from({ length: daysBetween(from, to) + 1 }, (_, i) => addDays(from, i));
}
