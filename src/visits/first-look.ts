import type { MachineFacts } from '../domain/facts.js';

/** Whether the first look at a machine of unknown past has begun: some of its visit was recorded. Until then nobody has seen what
 *  it needs, nor its part numbers, and nothing is bought for it.
 *  @param visit  id of the announced visit; null: not announced yet
 *  Source: common practice, no source. */
export function isLookBegun(visit: string | null, facts: Pick<MachineFacts, 'records'>): boolean {
  return visit !== null && facts.records.some((record) => record.visit === visit);
}
