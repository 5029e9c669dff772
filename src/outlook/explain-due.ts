import { type Day, dayMs, dayOf, endOfDay, hourMs } from '../domain/day.js';
import { type MachineFacts, noFacts, type Span } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Due } from '../domain/results/due.js';
import type { Why, WhyHours } from '../domain/results/why.js';
import { dayAtPace, dueIfRead } from '../forecast/if-read.js';
import { hoursQuantiles } from '../hours/at.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { foresee } from '../hours/foresee.js';
import { expectedUse } from '../hours/law.js';
import { type Memory, recallHours } from './memory.js';

/** The stretch that "the last weeks" and "the coming weeks" mean, days. */
const weeksDays = 42;
const yearDays = 365;
const readingsShown = 3;

/** What the date of one task rests on: the evidence, the pace, and what a reading today would make of it. The same estimate as the
 *  outlook's, so that the page that explains and the page that shows cannot disagree.
 *  @param due     of the outlook at `nowMs`
 *  @param memory  as in look.ts
 *  @returns       `byHours` null where the task has no hours limit or nothing is known of the hours
 *  Source: own design. */
export function explainDue(
  home: Home,
  facts: MachineFacts | undefined,
  due: Due,
  nowMs: number,
  memory?: Memory,
): Why | null {
  const machine = home.machines.find((one) => one.id === due.machine);
  if (machine === undefined) return null;
  const { zone } = home.household;
  const known = facts ?? noFacts(machine.id);
  const { estimate } = recallHours(machine, known, home.household, nowMs, memory);
  const counted = (estimate?.timeline.readings ?? []).filter((reading) => reading.atMs <= nowMs);
  const fromMs = nowMs - weeksDays * dayMs;
  const within = (spans: readonly Span[]) =>
    spans.reduce((sum, { fromMs: a, toMs: b }) => sum + Math.max(0, Math.min(b, nowMs) - Math.max(a, fromMs)), 0);
  return {
    due,
    today: dayOf(nowMs, zone),
    readings: {
      count: counted.length,
      newest: counted.slice(-readingsShown).map(({ atMs, hours }) => ({ day: dayOf(atMs, zone), hours })),
    },
    sensor:
      machine.feed === undefined && known.coverage.length === 0
        ? null
        : { hours: within(known.runs) / hourMs, daysHeard: within(known.coverage) / dayMs },
    byHours: estimate === null ? null : hoursOf(estimate, due, nowMs, home),
  };
}

function hoursOf(estimate: HoursEstimate, due: Due, nowMs: number, home: Home): WhyHours | null {
  const { targetHours, countedFrom, day } = due;
  if (targetHours === null) return null;
  const { zone } = home.household;
  const foreseen = foresee(estimate);
  const [p10 = 0, p50 = p10, p90 = p50] = foreseen.hoursQuantiles(nowMs, [0.1, 0.5, 0.9], countedFrom);
  const middle = (atMs: number) => hoursQuantiles(estimate, atMs, [0.5])[0] ?? 0;
  const startMs = Math.max(nowMs, estimate.timeline.evidenceEndMs);
  const ahead = (toMs: number) => Math.max(0, expectedUse(estimate, toMs) - expectedUse(estimate, startMs));
  const lastYearMs = startMs - yearDays * dayMs;
  const firstMs = estimate.timeline.readings[0]?.atMs ?? startMs;
  return {
    now: { p10, p50, p90 },
    targetHours,
    lastWeeks: Math.max(0, middle(nowMs) - middle(nowMs - weeksDays * dayMs)),
    nextWeeks: ahead(startMs + weeksDays * dayMs),
    sameWeeksLastYear: firstMs > lastYearMs ? null : middle(lastYearMs + weeksDays * dayMs) - middle(lastYearMs),
    untilDue: day === null || endOfDay(day.p50, zone) <= startMs ? null : ahead(endOfDay(day.p50, zone)),
    // Where every hour that is believed lies past the limit, no reading would change that.
    ifRead: (p10 >= targetHours ? [] : [p10, p50, p90]).map((hours) => ({
      hours,
      day: dueIfRead(foreseen, due, hours, nowMs, zone),
    })),
  };
}

/** When the hours that are left run out at a pace that a person supposes, a pencil's sum from the middle of the hours now.
 *  @param hoursPerWeek  above 0
 *  @returns             null beyond ten years, or where the date does not hang on hours
 *  Source: common practice, no source. */
export function dayIfUsed({ byHours, today }: Why, hoursPerWeek: number): Day | null {
  return byHours === null ? null : dayAtPace(byHours.targetHours - byHours.now.p50, hoursPerWeek, today);
}
