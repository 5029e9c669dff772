import type { Expectation, SeasonWord } from '../domain/machine.js';
import { daysPerYear, hoursPerYearUnknown, levelSd } from './constants.js';
import type { Season } from './season.js';

/** One belief about a machine's year, with the weight it starts from. */
export interface Setting {
  readonly season: Season;
  /** σs: standard deviation of the yearly course around the season's. */
  readonly seasonSd: number;
  readonly prior: number;
}

type Row = readonly [word: Exclude<SeasonWord, 'unknown'>, height: number, seasonSd: number, prior: number];

const withoutWord: readonly Row[] = [
  ['even', 0, 0.18, 0.33],
  ['even', 0, 0.43, 0.22],
  ['summer', 3.8, 0.6, 0.15],
  ['winter', 3.8, 0.6, 0.12],
  ['spring-autumn', 3.8, 0.6, 0.08],
  ['spring', 3.8, 0.6, 0.05],
  ['autumn', 3.8, 0.6, 0.05],
];

/** What a season word leaves to all other years, so that the readings can contradict it. With an even year alone in it, a mower said to
 *  work in winter had dates hardly better than a pencil's; so they come out as without a word (`npm run score`). */
const wordDoubted = 0.12;

/** The settings that the owner's word allows; their prior weights add up to 1.
 *  @param season  a word leaves 12 % to the years without a word */
export function settingsFor(season: SeasonWord): Setting[] {
  const rows: readonly Row[] =
    season === 'unknown'
      ? withoutWord
      : season === 'even'
        ? [
            ['even', 0, 0.18, 0.9],
            ['even', 0, 0.43, 0.4],
          ]
        : [
            [season, 3.8, 0.55, 0.6],
            [season, 1.9, 0.55, 0.28],
            ...withoutWord
              .filter(([word]) => word !== season)
              .map(([word, height, sd, prior]): Row => [word, height, sd, wordDoubted * prior]),
          ];
  const total = rows.reduce((sum, row) => sum + row[3], 0);
  return rows.map(([word, height, seasonSd, prior]) => ({ season: { word, height }, seasonSd, prior: prior / total }));
}

/** The owner's hours a day and how surely they are known.
 *  @param expect  hoursPerYear absent: 150 h a year, very roughly; 0 is taken as one hour a year
 *  @returns       log of hours a day, standard deviation σ0 of that log */
export function levelFor(expect: Expectation): { logRate: number; sd: number } {
  const told = expect.hoursPerYear;
  const hours = told === undefined ? hoursPerYearUnknown : Math.max(1, told);
  return { logRate: Math.log(hours / daysPerYear), sd: told === undefined ? levelSd.untold : levelSd.told };
}
