import { type Day, dayNumber } from '../domain/day.js';
import type { Spread } from '../domain/results/due.js';
import type { DayCause, ShoppingItem } from '../domain/results/visit.js';
import { monthsEarlyDays, weeksEarlyDays } from './constants.js';
import { partsHereFrom } from './parts-here.js';
import { type Candidate, compareDays, isAway, isInRest, type Scene } from './scene.js';

/** Why a visit's day lies past the likeliest day of its first limit, weeks before all likely ones, or months before the likeliest.
 *  @param group     tasks of the visit, at least one
 *  @param shopping  of all of them
 *  @param dayAt     number of its day, one of the scene's days
 *  @param due       days on which the first of its limits is reached
 *  @param asked     the latest "ask me on" of its tasks; null: nobody asked
 *  @returns `on-time` where the day needs no word
 *  Source: common practice, no source. */
export function causeOfDay(
  scene: Scene,
  group: readonly Candidate[],
  shopping: readonly ShoppingItem[],
  dayAt: number,
  due: Spread<Day>,
  asked: Day | null,
): DayCause {
  const { days, rest, today } = scene;
  const [likeliest, limit] = [dayNumber(due.p50), dayNumber(due.p90)];
  const previous = days.findLast((day) => day < dayAt && !isAway(day, scene));
  if (dayAt > likeliest) {
    const hadChance = previous !== undefined && previous > today;
    const isAwayFrom = (from: number) => days.some((day) => day >= from && day < dayAt && isAway(day, scene));
    const away: DayCause = { kind: isInRest(dayAt - 1, rest) ? 'rest' : 'stored' };
    if (asked !== null && hadChance && previous < dayNumber(asked)) {
      return isAwayFrom(dayNumber(asked)) ? away : { kind: 'asked' };
    }
    const missing = shopping.filter((item) => item.toBuy > 0);
    const dues = group.map((c) => c.due);
    const here = partsHereFrom(missing, dues, scene.facts, scene.household, scene.orderDay);
    // What arrives while it is away does not hold the work up until it is back.
    const isAwayMeanwhile = isAwayFrom(here);
    if (missing.length > 0 && hadChance && previous < here && !isAwayMeanwhile) {
      return { kind: 'parts', leadDays: Math.max(...missing.map((item) => Math.ceil(item.leadDays))) };
    }
    if (isInRest(likeliest, rest)) return { kind: 'rest' };
    if (isAway(likeliest, scene)) return { kind: 'stored' };
    if (missing.length > 0 && isAwayMeanwhile && previous !== undefined && previous < here) return away;
    const chanceBefore = days.some((day) => day > today && day <= likeliest && !isAway(day, scene));
    if (!hadChance || !chanceBefore) return { kind: 'next-chance' };
    const soonest = Math.min(...group.map((c) => days[c.best] ?? dayAt));
    if (group.length > 1 && (soonest < dayAt || dayAt > limit)) return sharedWith(group, dayAt, days);
    return due.p10 === due.p90 ? { kind: 'on-time' } : { kind: 'tolerated' };
  }
  const early = dayNumber(due.p10) - dayAt;
  const next = days.find((day) => day > dayAt && !isAway(day, scene));
  if (early < weeksEarlyDays && likeliest - dayAt < monthsEarlyDays) return { kind: 'on-time' };
  if (next !== undefined && next > limit) return { kind: 'last-chance' };
  const own = Math.min(...group.map((c) => days[c.best] ?? dayAt));
  if (group.length > 1 && own > dayAt) return sharedWith(group, dayAt, days);
  return { kind: early < weeksEarlyDays ? 'wide' : 'unsure' };
}

/** The task whose own best day lies nearest to the visit's. */
function sharedWith(group: readonly Candidate[], dayAt: number, days: readonly number[]): DayCause {
  const away = (c: Candidate) => Math.abs((days[c.best] ?? dayAt) - dayAt);
  const [nearest] = [...group].sort((a, b) => away(a) - away(b) || compareDays(a.due.day?.p50, b.due.day?.p50));
  return { kind: 'shared', task: nearest?.task.id ?? '' };
}
