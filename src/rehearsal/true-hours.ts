import { addDays, type Day, dayOf, daysBetween, instantOf, parseTimeOfDay, type Zone } from '../domain/day.js';

/** Engine hours of one day, as a usage script says. */
export interface UsageDay {
  readonly day: Day;
  readonly hours: number;
}

const daytimeFrom = parseTimeOfDay('08:00');
const daytimeTo = parseTimeOfDay('20:00');

/** What the meter of one machine really shows, which nobody in the household knows without walking to it. */
export interface TrueHours {
  /** Meter hours at an instant; the hours of a day are spread over its daytime, 8 to 20 o'clock. */
  at(atMs: number): number;
  /** Meter hours at the end of a day. */
  endOf(day: Day): number;
  /** First day at whose end the meter stands at or past `hours`; past the script's end at its mean pace, null where that is 0. */
  dayReaching(hours: number): Day | null;
  /** Running spans of a day, one block from the morning on. */
  hoursOn(day: Day): number;
}

export function trueHours(usage: readonly UsageDay[], firstHours: number, from: Day, to: Day, zone: Zone): TrueHours {
  const days = Math.max(1, daysBetween(from, to) + 1);
  const hoursOn = new Array<number>(days).fill(0);
  for (const { day, hours } of usage) {
    const index = daysBetween(from, day);
    if (index >= 0 && index < days) hoursOn[index] = (hoursOn[index] ?? 0) + hours;
  }
  const atEnd: number[] = [];
  let total = firstHours;
  for (const hours of hoursOn) {
    total += hours;
    atEnd.push(total);
  }
  const before = (index: number) => (index <= 0 ? firstHours : (atEnd[Math.min(index, days) - 1] ?? total));
  const pace = (total - firstHours) / days;
  return {
    at(atMs) {
      const day = dayOf(atMs, zone);
      const index = daysBetween(from, day);
      if (index < 0) return firstHours;
      if (index >= days) return total;
      const startMs = instantOf(day, daytimeFrom, zone);
      const endMs = instantOf(day, daytimeTo, zone);
      const share = Math.min(1, Math.max(0, (atMs - startMs) / (endMs - startMs)));
      return before(index) + share * (hoursOn[index] ?? 0);
    },
    endOf: (day) => before(daysBetween(from, day) + 1),
    dayReaching(hours) {
      if (hours <= firstHours) return from;
      const index = atEnd.findIndex((h) => h >= hours - 1e-9);
      if (index >= 0) return addDays(from, index);
      return pace <= 0 ? null : addDays(to, Math.min(36_500, Math.ceil((hours - total) / pace)));
    },
    hoursOn: (day) => hoursOn[daysBetween(from, day)] ?? 0,
  };
}
