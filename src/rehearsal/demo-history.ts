import type { Service } from '../daemon/wire.js';
import {
  addDays,
  addMonths,
  type Day,
  dayOf,
  daysBetween,
  instantOf,
  parseTimeOfDay,
  startOfDay,
} from '../domain/day.js';
import { enterReading } from '../ledger/enter-reading.js';
import { enterToldRun } from '../ledger/enter-told-run.js';
import type { Errand } from './errands.js';
import { feedDays } from './feed-days.js';
import { liveThrough } from './live-through.js';
import { defaultHabits } from './person.js';
import { seededRandom, seedFor } from './random.js';
import type { SimulatedClock } from './simulated-clock.js';
import { trueHours, type UsageDay } from './true-hours.js';

/** The story that the demo lives through before its page opens. */
export interface DemoScript {
  readonly months: number;
  readonly seed: number;
  readonly firstHours: Readonly<Record<string, number>>;
  readonly feed: { readonly machine: string; readonly monthsAgo: number; readonly share: number };
  readonly told: { readonly machine: string; readonly share: number };
}

/** Lives through the script's months up to yesterday, with the same code that runs live.
 *  @param usage two years of invented usage; its days of the year are laid over the last months
 *  @returns the day the story began */
export async function liveDemoHistory(input: {
  readonly service: Service;
  readonly clock: SimulatedClock;
  readonly script: DemoScript;
  readonly usage: ReadonlyMap<string, readonly UsageDay[]>;
  readonly from: Day;
  readonly to: Day;
}): Promise<void> {
  const { service, clock, script, from, to } = input;
  const { books } = service;
  const { household, machines } = books.home();
  const { zone } = household;
  const truth = new Map(
    machines.map((machine) => [
      machine.id,
      trueHours(
        laidOver(input.usage.get(machine.id) ?? [], from, to),
        script.firstHours[machine.id] ?? 0,
        from,
        to,
        zone,
      ),
    ]),
  );
  clock.set(startOfDay(from, zone));
  for (const [machine, hours] of Object.entries(script.firstHours)) {
    enterReading(books, {
      machine,
      hours,
      atMs: clock.nowMs(),
      by: null,
      door: 'rehearsal',
      confirm: true,
      key: null,
    });
  }
  const fitted = addMonths(to, -script.feed.monthsAgo);
  await liveThrough({
    service,
    clock,
    truth,
    habits: { ...defaultHabits, seed: script.seed },
    from,
    to,
    feedDays: new Map([
      [script.feed.machine, feedDays(fitted, to, script.feed.share, seededRandom(seedFor(script.seed, 'demo feed')))],
    ]),
    errands: toldErrands(input),
  });
}

/** The day on which a story of so many months that ends yesterday begins. */
export function storyBegins(nowMs: number, months: number, zone: Parameters<typeof dayOf>[1]): { from: Day; to: Day } {
  const to = addDays(dayOf(nowMs, zone), -1);
  return { from: addMonths(to, -months), to };
}

const eveningOfUse = parseTimeOfDay('19:30');

function toldErrands(input: Parameters<typeof liveDemoHistory>[0]): Errand[] {
  const { service, script, from, to } = input;
  const { books } = service;
  const { zone } = books.home().household;
  const random = seededRandom(seedFor(script.seed, 'told'));
  return laidOver(input.usage.get(script.told.machine) ?? [], from, to)
    .filter(() => random() < script.told.share)
    .map(({ day, hours }) => ({
      atMs: instantOf(day, eveningOfUse, zone),
      run: () => {
        enterToldRun(books, {
          machine: script.told.machine,
          minutes: Math.round((hours * 60) / 5) * 5,
          atMs: books.clock.nowMs(),
          by: null,
          door: 'rehearsal',
          key: null,
        });
      },
    }));
}

/** Usage of two scripted years laid over other days by day of the year; the two years take turns. */
function laidOver(usage: readonly UsageDay[], from: Day, to: Day): UsageDay[] {
  const byDay = new Map(usage.map((row) => [row.day.slice(2), row.hours]));
  const years = [...new Set(usage.map((row) => row.day.slice(2, 4)))].sort();
  if (years.length === 0) return [];
  return Array.from({ length: daysBetween(from, to) + 1 }, (_, i) => addDays(from, i)).flatMap((day) => {
    const year = years[Number(day.slice(0, 4)) % years.length] ?? '';
    const hours = byDay.get(`${year}${day.slice(4)}`);
    return hours === undefined ? [] : [{ day, hours }];
  });
}
