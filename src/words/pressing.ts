import { byPressing, type Notice } from '../domain/results/notice.js';

/** The notices that a letter tells, the most pressing first; a visit whose work is announced swallows its own parts notice.
 *  Source: common practice, no source. */
export function mostPressingFirst(notices: readonly Notice[]): readonly Notice[] {
  const worked = new Set(
    notices.filter((notice) => notice.kind === 'work' || notice.kind === 'late').map((notice) => notice.visit),
  );
  return notices
    .filter((notice) => notice.kind !== 'parts' || notice.visit === null || !worked.has(notice.visit))
    .toSorted(byPressing);
}
