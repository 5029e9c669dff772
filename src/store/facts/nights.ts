import type { Night } from '../../domain/night.js';
import type { Store } from '../open.js';
import { day, number } from '../row.js';

/** Days kept: ten years. Older frosts say little of the next one. */
const mostDays = 3660;

/** Keeps the lowest temperature of a day: one row a day, which only falls; days older than ten years go. */
export function lowerNight(store: Store, night: Night): void {
  store.sql.run(
    `INSERT INTO nights (day, celsius) VALUES (:day, :celsius)
     ON CONFLICT (day) DO UPDATE SET celsius = excluded.celsius WHERE excluded.celsius < celsius`,
    { day: night.day, celsius: night.celsius },
  );
  store.sql.run('DELETE FROM nights WHERE day <= (SELECT day FROM nights ORDER BY day DESC LIMIT 1 OFFSET :mostDays)', {
    mostDays,
  });
}

/** All nights known, oldest first. */
export function nightsOf(store: Store): readonly Night[] {
  return store.sql
    .rows('SELECT day, celsius FROM nights ORDER BY day')
    .map((row) => ({ day: day(row, 'day'), celsius: number(row, 'celsius') }));
}
