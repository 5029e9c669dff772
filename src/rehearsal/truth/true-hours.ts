import {
  addDays,
  type Day,
  dayNumber,
  dayOf,
  hourMs,
  instantOf,
  parseTimeOfDay,
  startOfDay,
  type Zone,
} from '../../domain/day.js';
import type { Span } from '../../domain/facts.js';

/** Engine hours of one day, as a usage script says. */
export interface UsageDay {
  readonly day: Day;
  readonly hours: number;
}

const daytimeFrom = parseTimeOfDay('08:00');
const daytimeTo = parseTimeOfDay('20:00');
const daytimeHours = 12;
/** The engine runs in stretches of at most this, evenly over the day. Common practice, no source. */
const longestRunHours = 0.5;
/** The shortest day of a zone that changes its clock by an hour. */
const shortDayHours = 23;
/** What is not reached by then is as good as never reached. */
const neverDays = 36_500;

/** What the meter of one machine really shows, which nobody in the household knows without walking to it. */
export interface TrueHours {
  /** Meter hours at an instant, UTC milliseconds. */
  at(atMs: number): number;
  /** What a person reads there: whole tenths that are past, but never less than the meter was set up with. */
  shows(atMs: number): number;
  /** Meter hours at the end of a day. */
  endOf(day: Day): number;
  /** First day at whose end the meter stands at or past `hours`; past the script's end at its mean pace; where that is 0, or
   *  takes a hundred years, the day a hundred years past the end. */
  dayReaching(hours: number): Day;
  /** When the engine runs on a day, half-open, ascending; empty outside the script. */
  runsOn(day: Day): readonly Span[];
}

/** The true hours from a usage script. The hours of a day are spread over its daytime, 8 to 20 o'clock, in stretches of up to
 *  half an hour; more than 12 over the whole day. What does not fit a day that a clock change shortens runs on the next.
 *  @param usage       0 to 24 h a day; days that it lacks run 0 h, days outside `from` to `to` are passed over
 *  @param firstHours  what the meter shows when `from` begins
 *  Source: own design. */
export function trueHours(usage: readonly UsageDay[], firstHours: number, from: Day, to: Day, zone: Zone): TrueHours {
  const first = dayNumber(from);
  const days = Math.max(1, dayNumber(to) - first + 1);
  const hoursOn = new Array<number>(days).fill(0);
  for (const { day, hours } of usage) {
    const index = dayNumber(day) - first;
    if (index >= 0 && index < days) hoursOn[index] = (hoursOn[index] ?? 0) + hours;
  }
  const atEnd: number[] = [];
  let total = firstHours;
  let over = 0;
  for (let index = 0; index < days; index += 1) {
    const wanted = (hoursOn[index] ?? 0) + over;
    const hours = wanted <= shortDayHours ? wanted : Math.min(wanted, lengthOf(addDays(from, index), zone));
    over = wanted - hours;
    hoursOn[index] = hours;
    total += hours;
    atEnd.push(total);
  }
  const pace = (total - firstHours) / days;
  const before = (index: number) => (index <= 0 ? firstHours : (atEnd[Math.min(index, days) - 1] ?? total));
  const spread = new Map<Day, readonly Span[]>();
  const runsOn = (day: Day) => {
    const known = spread.get(day);
    if (known !== undefined) return known;
    const runs = spreadRuns(hoursOn[dayNumber(day) - first] ?? 0, day, zone);
    spread.set(day, runs);
    return runs;
  };
  const at = (atMs: number) => {
    const day = dayOf(atMs, zone);
    const ran = runsOn(day).reduce((ms, run) => ms + Math.max(0, Math.min(atMs, run.toMs) - run.fromMs), 0);
    return before(dayNumber(day) - first) + ran / hourMs;
  };
  return {
    at,
    shows: (atMs) => Math.max(firstHours, Math.floor(at(atMs) * 10 + 1e-6) / 10),
    endOf: (day) => before(dayNumber(day) - first + 1),
    dayReaching(hours) {
      if (hours <= firstHours) return from;
      const index = atEnd.findIndex((h) => h >= hours - 1e-9);
      if (index >= 0) return addDays(from, index);
      const further = pace <= 0 ? neverDays : Math.ceil((hours - total) / pace);
      return addDays(to, Math.min(neverDays, further));
    },
    runsOn,
  };
}

function spreadRuns(hours: number, day: Day, zone: Zone): Span[] {
  if (hours <= 0) return [];
  const isDaytime = hours <= daytimeHours;
  const fromMs = isDaytime ? instantOf(day, daytimeFrom, zone) : startOfDay(day, zone);
  const toMs = isDaytime ? instantOf(day, daytimeTo, zone) : startOfDay(addDays(day, 1), zone);
  const count = Math.ceil(hours / longestRunHours);
  const sliceMs = (toMs - fromMs) / count;
  const runMs = (hours * hourMs) / count;
  return Array.from({ length: count }, (_, i) => {
    const startMs = fromMs + i * sliceMs + (sliceMs - runMs) / 2;
    return { fromMs: startMs, toMs: startMs + runMs };
  });
}

function lengthOf(day: Day, zone: Zone): number {
  return (startOfDay(addDays(day, 1), zone) - startOfDay(day, zone)) / hourMs;
}
