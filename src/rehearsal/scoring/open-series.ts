import { dayNumber, parseDay } from '../../domain/day.js';
import type { Random } from '../../domain/outside.js';
import type { Character, UseSeries } from './series.js';

/** Open data as run-time. Nobody measured these hours: real weather and real incidents decide when an invented machine runs, so that
 *  the days, the seasons and the years are the world's own.
 *  - daily weather of two cities, 2012 to 2015: a heater runs by degrees below 15 °C, a cooler by degrees above 18 °C, a pump by rain;
 *  - reports of birds struck by aircraft, 1990 to 2002, state by state: each calls a crew's vehicle out for some while.
 *  Source: vega-datasets (registry package, BSD-3-Clause): weather.csv (US NOAA), birdstrikes.csv (US FAA).
 *  @param weather  columns location, date, precipitation (mm), temp_max and temp_min (°C)
 *  @param strikes  columns Flight Date, Origin State
 *  @param random      length of each call-out */
export function openSeries(
  weather: readonly Readonly<Record<string, string>>[],
  strikes: readonly Readonly<Record<string, string>>[],
  random: Random,
): UseSeries[] {
  return [...weatherSeries(weather), ...strikeSeries(strikes, random)];
}

type Row = Readonly<Record<string, string>>;

function weatherSeries(rows: readonly Row[]): UseSeries[] {
  return [...groupBy(rows, (row) => row.location ?? '')].flatMap(([city, days]) => {
    const warmth = days.map((row) => (numberIn(row, 'temp_max') + numberIn(row, 'temp_min')) / 2);
    const firstDay = dayNumber(parseDay(days[0]?.date ?? ''));
    const make = (
      family: string,
      character: Character,
      word: UseSeries['word'],
      run: (degrees: number, millimetres: number) => number,
    ): UseSeries => ({
      family,
      character,
      name: `${family}, ${city}`,
      firstDay,
      hours: Float64Array.from(days, (row, i) => Math.min(24, run(warmth[i] ?? 0, numberIn(row, 'precipitation')))),
      word,
    });
    return [
      make('heats by real weather', 'seasonal', 'winter', (degrees) => Math.max(0, 15 - degrees) * 0.5),
      make('cools by real weather', 'seasonal', 'summer', (degrees) => Math.max(0, degrees - 18) * 0.8),
      make('pumps real rain', 'bursty', 'even', (_, millimetres) => (millimetres < 3 ? 0 : millimetres * 0.15)),
    ];
  });
}

/** States with fewer reports than this tell too little. */
const leastReports = 300;
const minutesPerCall = 45;

function strikeSeries(rows: readonly Row[], random: Random): UseSeries[] {
  const days = rows.map((row) => dayNumber(parseDay(row['Flight Date'] ?? '')));
  const firstDay = Math.min(...days);
  const length = Math.max(...days) - firstDay + 1;
  const byState = groupBy(
    rows.map((row, i) => ({ state: row['Origin State'] ?? '', day: days[i] ?? firstDay })),
    (report) => report.state,
  );
  return [...byState].flatMap(([state, reports]) => {
    if (reports.length < leastReports) return [];
    const hours = new Float64Array(length);
    for (const { day } of reports) {
      const d = day - firstDay;
      hours[d] = Math.min(24, (hours[d] ?? 0) - (Math.log(1 - random()) * minutesPerCall) / 60);
    }
    return [
      {
        family: 'called out by real reports',
        character: 'flat' as const,
        name: `call-outs, ${state}`,
        firstDay,
        hours,
        word: 'even' as const,
      },
    ];
  });
}

function numberIn(row: Row, column: string): number {
  const value = Number(row[column]);
  if (!Number.isFinite(value)) throw new RangeError(`weather ${row.date}: ${column} is "${row[column]}", not a number`);
  return value;
}

function groupBy<T>(items: readonly T[], key: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) groups.set(key(item), [...(groups.get(key(item)) ?? []), item]);
  return groups;
}
