import type Database from 'better-sqlite3';
import { Fault } from '../domain/fault.js';
import { faultsOf, storeErrors } from './errors.js';

/** What may be bound: never undefined (it would silently become NULL), never NaN or an infinity. */
type Value = string | number | Buffer | null;
type Values = Readonly<Record<string, Value>>;
export type Row = Readonly<Record<string, unknown>>;

/** Prepared statements by their text; the only way into the database, and used by this folder only. */
export interface Sql {
  /** @returns rows changed */
  run(statement: string, values?: Values): number;
  rows(statement: string, values?: Values): readonly Row[];
  /** The first row, or null. */
  row(statement: string, values?: Values): Row | null;
}

/** @param beforeRun called before every statement that writes; what it throws is as if the disk had failed there */
export function sqlOn(db: Database.Database, place: string, beforeRun: (statement: string) => void): Sql {
  const prepared = new Map<string, Database.Statement>();
  const statementOf = (text: string): Database.Statement => {
    const known = prepared.get(text);
    if (known !== undefined) return known;
    const fresh = db.prepare(text);
    prepared.set(text, fresh);
    return fresh;
  };
  return {
    run(statement, values = {}) {
      checkValues(values);
      return faultsOf(place, () => {
        beforeRun(statement);
        return statementOf(statement).run(values).changes;
      });
    },
    rows(statement, values = {}) {
      checkValues(values);
      return faultsOf(place, () => statementOf(statement).all(values) as Row[]);
    },
    row(statement, values = {}) {
      checkValues(values);
      return faultsOf(place, () => (statementOf(statement).get(values) as Row | undefined) ?? null);
    },
  };
}

function checkValues(values: Readonly<Record<string, unknown>>): void {
  for (const [name, value] of Object.entries(values)) {
    if (value === null || typeof value === 'string' || Buffer.isBuffer(value)) continue;
    const code = typeof value === 'number' ? 'store-value-not-finite' : 'store-value-missing';
    if (typeof value === 'number' && Number.isFinite(value) && Math.abs(value) <= Number.MAX_SAFE_INTEGER) continue;
    throw new Fault({
      code,
      message: storeErrors[code],
      place: name,
      found: typeof value === 'number' ? String(value) : typeof value,
      remedy: 'This is a fault of the program; nothing was written.',
    });
  }
}
