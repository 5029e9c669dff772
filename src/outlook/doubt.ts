import type { Machine, SeasonWord } from '../domain/machine.js';
import { hoursPerYear } from '../hours/at.js';
import type { HoursEstimate } from '../hours/estimate.js';

/** Weight that the owner's season word must have lost before it is doubted aloud. */
const doubtFrom = 0.8;

/** A pace this many times the one told, or less than its inverse, is worth a word. */
const farOff = 2;

/** Share of the weight that the told season word has lost from which one other word is named instead. */
const namedFrom = 0.8;

/** A sentence where the readings contradict what the configuration expects of a year, the season first; null where they do not, or nothing is expected.
 *  Source: own design; the weights come from hours/estimate. */
export function sayDoubt(
  machine: Pick<Machine, 'name' | 'expect'>,
  estimate: HoursEstimate | null,
  nowMs: number,
): string | null {
  if (estimate === null) return null;
  if ((estimate.pWordWrong ?? 0) >= doubtFrom) {
    return `The readings of ${machine.name} do not look like use mostly in ${machine.expect.season.replace('-', ' and ')}: “season: ${likelierSeason(machine.expect.season, estimate)}” in its file may serve better.`;
  }
  const told = machine.expect.hoursPerYear;
  if (told === undefined || (estimate.pHoursWrong ?? 0) < doubtFrom) return null;
  const pace = Math.round(hoursPerYear(estimate, nowMs));
  if (pace < farOff * Math.max(told, 1) && pace * farOff > told) return null;
  return `The readings of ${machine.name} look like about ${pace} h a year, not ${told}: dates go by the readings, and “hoursPerYear” in its file may be set right.`;
}

/** The season word that the readings support where one stands out among those not told, else `unknown`. Spring and autumn together is never
 *  named: its two peaks also fit best to three months of spring alone, and to a year that rests in winter only. */
function likelierSeason(told: SeasonWord, { beliefs }: HoursEstimate): SeasonWord {
  const weights = new Map<SeasonWord, number>();
  for (const { setting, weight } of beliefs) {
    const { word } = setting.season;
    if (word !== told) weights.set(word, (weights.get(word) ?? 0) + weight);
  }
  const lost = [...weights.values()].reduce((sum, weight) => sum + weight, 0);
  const [best] = [...weights].sort((a, b) => b[1] - a[1]);
  if (best === undefined || best[0] === 'spring-autumn' || best[1] < namedFrom * lost) return 'unknown';
  return best[0];
}
