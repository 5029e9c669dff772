import type { FeedTotal } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, numberOrNull, textOrNull } from '../row.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

/** Sets the exact count of a feed, which only grows: an older or smaller one changes nothing. */
export function setFeedTotal(store: Store, machine: string, total: FeedTotal): void {
  store.sql.run(
    `INSERT INTO feed_totals (machine, run_seconds, last_at_ms) VALUES (:machine, :runSeconds, :lastAtMs)
     ON CONFLICT (machine) DO UPDATE SET
       run_seconds = max(run_seconds, excluded.run_seconds),
       last_at_ms = CASE WHEN last_at_ms IS NULL OR excluded.last_at_ms > last_at_ms THEN excluded.last_at_ms ELSE last_at_ms END
     WHERE excluded.run_seconds > run_seconds OR (excluded.last_at_ms IS NOT NULL AND (last_at_ms IS NULL OR excluded.last_at_ms > last_at_ms))`,
    { machine, runSeconds: total.runSeconds, lastAtMs: total.lastAtMs },
  );
}

/** What the counting must know to go on after a restart; its shape is the feed's own. */
export function setFeedMemory(store: Store, machine: string, memory: string): void {
  store.sql.run(
    `INSERT INTO feed_totals (machine, run_seconds, last_at_ms, memory) VALUES (:machine, 0, NULL, :memory)
     ON CONFLICT (machine) DO UPDATE SET memory = excluded.memory WHERE memory IS NOT excluded.memory`,
    { machine, memory },
  );
}

/** Says of a feed that was counted whether its sensor is away; the same again changes nothing. */
export function setFeedAway(store: Store, machine: string, isAway: boolean): void {
  store.sql.run('UPDATE feed_totals SET is_away = :away WHERE machine = :machine AND is_away <> :away', {
    machine,
    away: isAway ? 1 : 0,
  });
}

/** Total and memory at once, as each message of a running engine brings them. */
export function setFeedCount(store: Store, machine: string, total: FeedTotal, memory: string): void {
  store.sql.run(
    `INSERT INTO feed_totals (machine, run_seconds, last_at_ms, memory) VALUES (:machine, :runSeconds, :lastAtMs, :memory)
     ON CONFLICT (machine) DO UPDATE SET
       run_seconds = max(run_seconds, excluded.run_seconds),
       last_at_ms = CASE WHEN last_at_ms IS NULL OR excluded.last_at_ms > last_at_ms THEN excluded.last_at_ms ELSE last_at_ms END,
       memory = excluded.memory`,
    { machine, runSeconds: total.runSeconds, lastAtMs: total.lastAtMs, memory },
  );
}

/** What the counting of a feed left itself to go on from, as it wrote it; null where nothing was counted yet. */
export function feedMemoryOf(store: Store, machine: string): string | null {
  const row = store.sql.row('SELECT memory FROM feed_totals WHERE machine = :machine', { machine });
  return row === null ? null : textOrNull(row, 'memory');
}

/** What each feed has counted in all, seconds; one of a machine at most. */
export function feedTotalsOf(store: Store, machines: readonly string[]): ByMachine<FeedTotal> {
  return rowsByMachine(
    store.sql,
    `SELECT machine, run_seconds, last_at_ms, is_away FROM feed_totals WHERE ${ofMachines}`,
    machines,
    (row) => ({
      runSeconds: number(row, 'run_seconds'),
      lastAtMs: numberOrNull(row, 'last_at_ms'),
      ...(number(row, 'is_away') === 1 ? { isAway: true } : {}),
    }),
  );
}
