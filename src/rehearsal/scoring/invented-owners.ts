import { weekdayNumbered } from '../../domain/day.js';
import type { Random } from '../../domain/outside.js';
import type { Character, UseSeries } from './series.js';

/** How one kind of owner uses a machine. All figures are invented. */
interface Habit {
  readonly family: string;
  readonly character: Character;
  readonly word: UseSeries['word'];
  /** Weight of each month, January first. */
  readonly months: readonly number[];
  /** Hours a year: least and most. */
  readonly hoursPerYear: readonly [number, number];
  /** Hours of one day's use, on average: least and most. */
  readonly hoursPerDay: readonly [number, number];
  /** How much likelier a day at the weekend is. */
  readonly weekend: number;
  /** Chance that use goes on the next day, beyond the day's own chance. */
  readonly goesOn: number;
  /** Standard deviation of the log of a year's level against the year before. */
  readonly yearsDiffer: number;
  /** Chance a year that the habit changes for good, by a factor of a third to three. */
  readonly turns: number;
}

const always = new Array<number>(12).fill(1);

const habits: readonly Habit[] = [
  {
    family: 'mows in summer',
    character: 'seasonal',
    word: 'summer',
    months: [0, 0, 0.1, 0.8, 1.6, 1.8, 1.5, 1.3, 1, 0.5, 0, 0],
    hoursPerYear: [20, 90],
    hoursPerDay: [0.6, 2.2],
    weekend: 3,
    goesOn: 0,
    yearsDiffer: 0.15,
    turns: 0,
  },
  {
    family: 'clears snow',
    character: 'seasonal',
    word: 'winter',
    months: [1.8, 1.7, 0.8, 0.05, 0, 0, 0, 0, 0, 0.05, 0.6, 1.5],
    hoursPerYear: [15, 80],
    hoursPerDay: [0.8, 2.5],
    weekend: 1,
    goesOn: 0.45,
    yearsDiffer: 0.4,
    turns: 0,
  },
  {
    family: 'works in spring and autumn',
    character: 'seasonal',
    word: 'spring-autumn',
    months: [0.1, 0.2, 1.2, 1.9, 1.4, 0.5, 0.3, 0.4, 1.3, 1.8, 0.9, 0.2],
    hoursPerYear: [60, 250],
    hoursPerDay: [1.5, 4.5],
    weekend: 2,
    goesOn: 0.3,
    yearsDiffer: 0.2,
    turns: 0,
  },
  {
    family: 'runs all year',
    character: 'flat',
    word: 'even',
    months: always,
    hoursPerYear: [80, 400],
    hoursPerDay: [0.7, 2],
    weekend: 1.3,
    goesOn: 0.1,
    yearsDiffer: 0.12,
    turns: 0,
  },
  {
    family: 'bursts now and then',
    character: 'bursty',
    word: 'even',
    months: always,
    hoursPerYear: [25, 150],
    hoursPerDay: [3, 8],
    weekend: 1,
    goesOn: 0.55,
    yearsDiffer: 0.3,
    turns: 0,
  },
  {
    family: 'changes its ways',
    character: 'flat',
    word: 'summer',
    months: [0.3, 0.4, 0.8, 1.2, 1.5, 1.5, 1.4, 1.3, 1.2, 1, 0.6, 0.4],
    hoursPerYear: [60, 250],
    hoursPerDay: [1, 3],
    weekend: 2,
    goesOn: 0.2,
    yearsDiffer: 0.25,
    turns: 0.3,
  },
];

/** Use at weekends alone, but for a working day now and then. */
const atWeekends: Habit = {
  family: 'uses it at weekends',
  character: 'flat',
  word: 'even',
  months: [0.6, 0.7, 1, 1.2, 1.2, 1.1, 1, 1, 1.2, 1.2, 0.9, 0.6],
  hoursPerYear: [30, 150],
  hoursPerDay: [1, 4],
  weekend: 12,
  goesOn: 0.1,
  yearsDiffer: 0.2,
  turns: 0,
};

const years = 9;
const firstDay = 18_262;

/** Machines of invented owners: six families, eight and more years each, day by day. Seasons come from monthly weights that each owner
 *  shifts by up to three weeks; a day's use is likelier at weekends and after a day of use; levels wander from year to year.
 *  @param each    machines a family
 *  @param random  decides everything
 *  @returns       six times `each` series, invented: no machine like these was measured */
export function inventOwners(each: number, random: Random): UseSeries[] {
  return habits.flatMap((habit) => Array.from({ length: each }, (_, i) => inventOne(habit, i + 1, random)));
}

/** Machines that run at weekends, invented likewise.
 *  @returns `each` series */
export function inventWeekendOwners(each: number, random: Random): UseSeries[] {
  return Array.from({ length: each }, (_, i) => inventOne(atWeekends, i + 1, random));
}

function inventOne(habit: Habit, number: number, random: Random): UseSeries {
  const between = ([least, most]: readonly [number, number]) => least * (most / least) ** random();
  const perYear = between(habit.hoursPerYear);
  const perDay = between(habit.hoursPerDay);
  const shift = (random() - 0.5) * 42;
  const hours = new Float64Array(Math.round(years * 365.25));
  const monthSum = habit.months.reduce((sum, weight) => sum + weight, 0);
  let level = perYear;
  let isOn = false;
  for (let d = 0; d < hours.length; d += 1) {
    if (d % 365 === 0 && d > 0) {
      level = Math.max(level * Math.exp(habit.yearsDiffer * gauss(random)), perYear / 8);
      if (random() < habit.turns) level *= 3 ** (2 * random() - 1);
    }
    const inYear = (((d + shift) % 365.25) + 365.25) % 365.25;
    const month = Math.floor((inYear / 365.25) * 12);
    const season = (12 * (habit.months[month] ?? 0)) / monthSum;
    const day = weekdayNumbered(firstDay + d);
    const weekend = (7 * (day === 'sat' || day === 'sun' ? habit.weekend : 1)) / (5 + 2 * habit.weekend);
    // The chance of a first day is lower where use goes on by itself, so that the year's hours stay.
    const chance = (level / 365.25 / perDay) * season * weekend * (1 - habit.goesOn);
    isOn = random() < Math.min(0.97, chance + (isOn && season > 0 ? habit.goesOn : 0));
    // The day's hours: the sum of two exponential parts, at most 14.
    if (isOn) hours[d] = Math.min(14, (-perDay / 2) * (Math.log(1 - random()) + Math.log(1 - random())));
  }
  const { family, character, word } = habit;
  return { family, character, name: `${family} ${number}`, firstDay, hours, word };
}

/** Standard normal number (Box and Muller 1958, from memory). */
export function gauss(random: Random): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}
