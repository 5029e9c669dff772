import type { ServiceRecord } from '../domain/facts.js';

/** How often a job's part was cleaned since it was last replaced, by the outcomes on record.
 *  @param records  in any order, none that was taken back
 *  Source: common practice, no source. */
export function cleaningsSinceNew(
  task: string,
  records: readonly Pick<ServiceRecord, 'day' | 'enteredAtMs' | 'findings'>[],
): number {
  const inOrder = [...records].sort((a, b) =>
    a.day === b.day ? a.enteredAtMs - b.enteredAtMs : a.day < b.day ? -1 : 1,
  );
  let count = 0;
  for (const { task: of, measurement, found } of inOrder.flatMap(({ findings }) => findings)) {
    if (of !== task || measurement !== 'outcome') continue;
    if (found === 'replaced') count = 0;
    else if (found === 'cleaned') count += 1;
  }
  return count;
}

/** What the sheet says of a part that may be cleaned only so often.
 *  @param done  cleanings since it was new
 *  @param most  after these it is replaced, >= 1 */
export function sayCleanings(done: number, most: number): string {
  const times = (count: number) => (count === 1 ? 'once' : `${count} times`);
  if (done === 0) return `Cleaned ${times(most)} since it was new, it is replaced.`;
  if (done < most) return `Cleaned ${times(done)} since it was new; after ${times(most)} it is replaced.`;
  return `Cleaned ${times(done)} since it was new, as often as it may be: replace it this time.`;
}
