import { text } from '../row.js';
import type { Row, Sql } from '../sql.js';

/** Facts of several machines, each machine's in the order of the statement. */
export type ByMachine<T> = ReadonlyMap<string, readonly T[]>;

/** Runs a statement whose `:machines` is a JSON list of ids, and sorts its rows under their `machine`. */
export function rowsByMachine<T>(
  sql: Sql,
  statement: string,
  machines: readonly string[],
  parse: (row: Row) => T,
): ByMachine<T> {
  const sorted = new Map<string, T[]>();
  for (const row of sql.rows(statement, { machines: JSON.stringify(machines) })) {
    const machine = text(row, 'machine');
    const facts = sorted.get(machine);
    if (facts === undefined) sorted.set(machine, [parse(row)]);
    else facts.push(parse(row));
  }
  return sorted;
}

/** The condition that goes with it. */
export const ofMachines = 'machine IN (SELECT value FROM json_each(:machines))';
