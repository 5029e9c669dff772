import { dayNumber } from '../domain/day.js';
import type { Candidate } from './scene.js';

/** Two season jobs due further apart than this belong to different seasons, days: laying up and its way back. */
const apartDays = 60;

/** A group of tasks with the work of different seasons taken apart: what lays a machine up and what brings it back never
 *  share a visit, however late either is. Work without a season stays with the latest season.
 *  @returns at least one group, none empty
 *  Source: common practice, no source. */
export function partSeasons(group: readonly Candidate[]): Candidate[][] {
  const dueAt = ({ due }: Candidate) => (due.day === null ? 0 : dayNumber(due.day.p50));
  const seasonal = group.filter(({ task }) => task.season !== undefined).sort((a, b) => dueAt(a) - dueAt(b));
  const seasons: Candidate[][] = [];
  for (const candidate of seasonal) {
    const current = seasons.at(-1);
    const first = current?.[0];
    if (current !== undefined && first !== undefined && dueAt(candidate) - dueAt(first) <= apartDays) {
      current.push(candidate);
    } else seasons.push([candidate]);
  }
  if (seasons.length < 2) return [[...group]];
  const earlier = new Set(seasons.slice(0, -1).flat());
  return [...seasons.slice(0, -1), group.filter((candidate) => !earlier.has(candidate))];
}
