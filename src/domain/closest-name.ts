import { distance } from 'fastest-levenshtein';

/** The known name that was probably meant, for a "did you mean".
 *  @param name   as typed; upper and lower case, `_`, blanks and `-` count as the same
 *  @param known  names that would be right
 *  @returns      the nearest one when at most a third of its letters differ (two in words of four to eight, one in shorter
 *                ones); letters in another order, and a beginning up to four letters short, count as one. Null where none
 *                is that near
 *  Source: common practice, no source. */
export function closestName(name: string, known: readonly string[]): string | null {
  const plain = plainName(name.slice(0, 80));
  let best: string | null = null;
  let bestDistance = Number.POSITIVE_INFINITY;
  for (const candidate of known) {
    const away = distanceTo(plain, plainName(candidate));
    const allowed = candidate.length < 4 ? 1 : Math.max(2, Math.floor(candidate.length / 3));
    if (away <= allowed && away < bestDistance && away < candidate.length) {
      best = candidate;
      bestDistance = away;
    }
  }
  return best;
}

/** "Did you mean …?" where one is near, else the known names, shortened. Empty where nothing is known.
 *  @param name   as typed
 *  @param known  names that would be right */
export function didYouMean(name: string, known: readonly string[]): string {
  const near = closestName(name, known);
  if (near !== null) return `Did you mean "${near}"?`;
  if (known.length === 0) return '';
  const shown = known.slice(0, 40).join(', ');
  return `Known here: ${shown}${known.length > 40 ? ' and others' : ''}.`;
}

function distanceTo(name: string, candidate: string): number {
  const isReordered = [...name].sort().join('') === [...candidate].sort().join('');
  const [short, long] = name.length < candidate.length ? [name, candidate] : [candidate, name];
  const isBeginning = short.length > 1 && long.length - short.length <= 4 && long.startsWith(short);
  return Math.min(distance(name, candidate), isReordered || isBeginning ? 1 : Number.POSITIVE_INFINITY);
}

function plainName(name: string): string {
  return name.toLowerCase().replace(/[\s_-]+/g, '-');
}
