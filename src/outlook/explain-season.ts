import { type Day, dayNumber } from '../domain/day.js';
import type { Facts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Due } from '../domain/results/due.js';
import type { WhySeason } from '../domain/results/why.js';
import type { Task } from '../domain/task.js';
import { seasonDayNear } from '../forecast/season.js';
import { withWeather } from '../forecast/weather.js';
import { climateOf } from './climate.js';

/** What the season's day of a task rests on: the average frost that it counts from and the cold night that came sooner, as the look
 *  ahead reckons with them.
 *  @param due    of the outlook of `today`
 *  @param today  later nights are left out
 *  @returns      null where no season brings the task or its day is not known
 *  Source: as `withWeather`. */
export function explainSeason(
  due: Pick<Due, 'calendarDay'>,
  task: Pick<Task, 'season'> | undefined,
  household: Household,
  facts: Facts,
  today: Day,
): WhySeason | null {
  const rule = task?.season;
  const { calendarDay } = due;
  if (rule === undefined || calendarDay === null) return null;
  const weather = withWeather(household, facts.nights ?? [], today);
  const climate = climateOf(household, facts, today);
  const day = seasonDayNear(rule, calendarDay, weather);
  const night = (weather.nights ?? []).find((one) => one.day === calendarDay);
  const isCold = rule.nightsBelow !== undefined && night !== undefined && night.celsius <= rule.nightsBelow;
  return {
    rule,
    frost: rule.before === 'first-frost' ? climate.first : rule.before === 'last-frost' ? climate.last : null,
    day,
    soonerNight: isCold && dayNumber(calendarDay) < dayNumber(day) ? night : null,
  };
}
