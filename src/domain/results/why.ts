import type { Day } from '../day.js';
import type { Night } from '../night.js';
import type { SeasonRule } from '../task.js';
import type { FrostDay } from './climate.js';
import type { Due, Spread } from './due.js';

/** A reading as it counts in the estimate: carried over to the meter in use. */
interface ReadOn {
  readonly day: Day;
  readonly hours: number;
}

/** What one due date rests on, in numbers that a person can check with a pencil. */
export interface Why {
  readonly due: Due;
  readonly today: Day;
  /** Readings that count, and the newest three, oldest first. */
  readonly readings: { readonly count: number; readonly newest: readonly ReadOn[] };
  /** What the sensor saw in the last six weeks: clock hours of runs, and days (fractional) that it was heard; null without a sensor. */
  readonly sensor: { readonly hours: number; readonly daysHeard: number } | null;
  /** Null where the date does not hang on hours, or nothing is known of them. */
  readonly byHours: WhyHours | null;
}

/** The part of the hours in a due date. All hours on the meter in use, or as counted from `due.countedFrom`. */
export interface WhyHours {
  readonly now: Spread<number>;
  readonly targetHours: number;
  /** Most likely use of the last six weeks: the middle estimate now less that of six weeks ago. */
  readonly lastWeeks: number;
  /** Expected use of the coming six weeks. */
  readonly nextWeeks: number;
  /** What the same six weeks brought a year ago; null where no evidence reaches so far back. */
  readonly sameWeeksLastYear: number | null;
  /** Expected use from now to the end of the middle due day; null where that day is past or unknown. */
  readonly untilDue: number | null;
  /** When the limit comes if the meter showed these hours today: the tenth, middle and ninetieth hundredth of what is believed now. */
  readonly ifRead: readonly { readonly hours: number; readonly day: Spread<Day> | null }[];
}

/** What the season's day of a task rests on. */
export interface WhySeason {
  readonly rule: SeasonRule;
  /** The average frost that the rule counts from; null where it counts from a date. */
  readonly frost: FrostDay | null;
  /** The day by the rule alone. */
  readonly day: Day;
  /** The cold night that came before it and counts in its place; null where none did. */
  readonly soonerNight: Night | null;
}
