import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Fault } from '../domain/fault.js';
import { addReading, readingsOf } from './facts/readings.js';
import { openStore, type Store } from './open.js';

let folder: string;
let file: string;
let open: Store[] = [];
const opened = (...args: Parameters<typeof openStore>) => {
  const store = openStore(...args);
  open.push(store);
  return store;
};

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shedbell-store-'));
  file = join(folder, 'shedbell.sqlite');
});
afterEach(() => {
  for (const store of open) store.close();
  open = [];
  rmSync(folder, { recursive: true, force: true });
});

function faultOf(action: () => unknown): Fault {
  try {
    action();
  } catch (fault) {
    if (fault instanceof Fault) return fault;
    throw fault;
  }
  throw new Error('nothing was thrown');
}

const reading = (id: string, hours = 10) => ({
  id,
  machine: 'mower',
  atMs: 1_000,
  hours,
  about: false,
  door: 'page' as const,
  by: null,
  note: null,
  enteredAtMs: 1_000,
});

describe('a store that opens', () => {
  it('keeps a write-ahead log, syncs fully, holds references, and cuts its log back', () => {
    const { sql } = opened(file);
    expect(sql.row('PRAGMA journal_mode')).toEqual({ journal_mode: 'wal' });
    expect(sql.row('PRAGMA synchronous')).toEqual({ synchronous: 2 });
    expect(sql.row('PRAGMA foreign_keys')).toEqual({ foreign_keys: 1 });
    expect(Number(sql.row('PRAGMA journal_size_limit')?.journal_size_limit)).toBeGreaterThan(0);
  });

  it('has strict tables only', () => {
    const { sql } = opened(file);
    const tables = sql.rows(
      `SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite_%'`,
    );
    expect(tables.length).toBeGreaterThan(15);
    expect(tables.filter((table) => table.strict !== 1)).toEqual([]);
  });

  it('finds what was written after it was closed, and opens any number of times unchanged', () => {
    opened(file).write(() => {
      const [store] = open;
      if (store !== undefined) addReading(store, reading('a'));
    });
    for (let i = 0; i < 3; i += 1) {
      open[0]?.close();
      open = [];
      const store = opened(file);
      expect(
        readingsOf(store, ['mower'])
          .get('mower')
          ?.map((r) => r.id),
      ).toEqual(['a']);
    }
    expect(existsSync(`${file}.before-schema-2`)).toBe(false);
  });

  it('lets nobody else read it: it holds the key of the links', () => {
    const store = opened(file);
    store.write(() => addReading(store, reading('a')));
    for (const name of [file, `${file}-wal`, `${file}-shm`]) expect(statSync(name).mode & 0o077, name).toBe(0);
  });

  it('gives ids by number, each once', () => {
    const store = opened(file);
    const ids = store.write(() => [store.newId('record'), store.newId('record'), store.newId('letter')]);
    expect(ids).toEqual(['record-1', 'record-2', 'letter-1']);
  });
});

describe('a store that cannot open says what to do', () => {
  it('a damaged file is refused and left as it is', () => {
    const store = opened(file);
    store.write(() => {
      for (let i = 0; i < 400; i += 1) addReading(store, { ...reading(`r${i}`), atMs: i });
    });
    store.close();
    open = [];
    const bytes = readFileSync(file);
    bytes.fill(0x55, 4096 * 3, 4096 * 4);
    writeFileSync(file, bytes);
    const fault = faultOf(() => opened(file));
    expect(fault.code).toBe('store-corrupt');
    expect(fault.remedy).toMatch(/copy/);
    expect(readFileSync(file).equals(bytes)).toBe(true);
  });

  it('a damaged file that a killed process left with a log beside it is left as it is too', () => {
    const store = opened(file);
    store.write(() => {
      for (let i = 0; i < 400; i += 1) addReading(store, { ...reading(`r${i}`), atMs: i });
    });
    store.close();
    const later = opened(file);
    later.write(() => addReading(later, { ...reading('late'), atMs: 500 }));
    // As a kill leaves them: what the log holds has not gone into the file.
    const left = join(folder, 'left.sqlite');
    const bytes = readFileSync(file);
    bytes.fill(0x55, 1024 * 20, 1024 * 40);
    writeFileSync(left, bytes);
    const log = readFileSync(`${file}-wal`);
    expect(log.length).toBeGreaterThan(1000);
    writeFileSync(`${left}-wal`, log);
    expect(faultOf(() => opened(left)).code).toBe('store-corrupt');
    expect(readFileSync(left).equals(bytes)).toBe(true);
    expect(readFileSync(`${left}-wal`).equals(log)).toBe(true);
  });

  it('a file of text is refused and left as it is', () => {
    writeFileSync(file, 'dear diary, today I mowed the meadow\n'.repeat(100));
    expect(faultOf(() => opened(file)).code).toBe('store-corrupt');
    expect(readFileSync(file, 'utf8')).toMatch(/^dear diary/);
  });

  it('the database of another program is refused', () => {
    const other = new Database(file);
    other.exec('CREATE TABLE songs (title TEXT)');
    other.close();
    expect(faultOf(() => opened(file)).code).toBe('store-not-ours');
  });

  it('a newer schema is refused', () => {
    opened(file).close();
    open = [];
    const newer = new Database(file);
    newer.pragma('user_version = 99');
    newer.close();
    const fault = faultOf(() => opened(file));
    expect(fault.code).toBe('store-newer');
    expect(fault.found).toMatch(/99/);
  });

  it('a missing folder, and a folder in place of the file, are refused', () => {
    expect(faultOf(() => opened(join(folder, 'nowhere', 'x.sqlite'))).code).toBe('store-cannot-open');
    mkdirSync(file);
    expect(faultOf(() => opened(file)).code).toBe('store-cannot-open');
  });
});

describe('what may be bound', () => {
  it.each([
    ['undefined', undefined, 'store-value-missing'],
    ['a truth', true, 'store-value-missing'],
    ['NaN', Number.NaN, 'store-value-not-finite'],
    ['an infinity', Number.POSITIVE_INFINITY, 'store-value-not-finite'],
    ['1e308', 1e308, 'store-value-not-finite'],
  ])('never %s', (_name, value, code) => {
    const { sql } = opened(file);
    const values: Record<string, string | number | null> = { id: 'a' };
    Object.assign(values, { hours: value });
    expect(faultOf(() => sql.run('SELECT :id, :hours', values)).code).toBe(code);
    expect(faultOf(() => sql.rows('SELECT :id, :hours', values)).code).toBe(code);
  });
});

describe('a write', () => {
  it('is all or nothing', () => {
    const store = opened(file);
    expect(() =>
      store.write(() => {
        addReading(store, reading('a'));
        throw new Error('the second half failed');
      }),
    ).toThrow('the second half failed');
    expect(readingsOf(store, ['mower']).size).toBe(0);
  });

  it('on a full disk is a fault, leaves nothing half-written, and works again once there is room', () => {
    const store = opened(file);
    const pages = Number(store.sql.row('PRAGMA page_count')?.page_count);
    store.sql.row(`PRAGMA max_page_count = ${pages + 2}`);
    const many = () =>
      store.write(() => {
        for (let i = 0; i < 2_000; i += 1) addReading(store, { ...reading(`r${i}`), atMs: i });
      });
    const fault = faultOf(many);
    expect(fault.code).toBe('disk-full');
    expect(fault.retry).toBe('after-fix');
    expect(readingsOf(store, ['mower']).size).toBe(0);
    store.sql.row('PRAGMA max_page_count = 1000000');
    many();
    expect(readingsOf(store, ['mower']).get('mower')).toHaveLength(2_000);
  });

  it('waits for another process, and says so when it waits in vain', () => {
    const store = opened(file, { busyMs: 20 });
    const other = new Database(file);
    other.exec('BEGIN IMMEDIATE');
    const fault = faultOf(() => store.write(() => addReading(store, reading('a'))));
    expect(fault.code).toBe('store-busy');
    expect(fault.retry).toBe('later');
    other.exec('ROLLBACK');
    other.close();
    store.write(() => addReading(store, reading('a')));
  });

  it('after closing is a fault', () => {
    const store = opened(file);
    store.close();
    expect(faultOf(() => store.write(() => {})).code).toBe('store-closed');
  });
});

describe('the version of the facts', () => {
  it('grows with a write that changes something, and with nothing else', () => {
    const store = opened(file);
    const before = store.dataVersion();
    store.read(() => readingsOf(store, ['mower']));
    store.write(() => readingsOf(store, ['mower']));
    store.mark(() => store.newId('letter'));
    expect(store.dataVersion()).toBe(before);
    store.write(() => addReading(store, reading('a')));
    expect(store.dataVersion()).toBeGreaterThan(before);
  });

  it('stays when the write is undone', () => {
    const store = opened(file);
    const before = store.dataVersion();
    expect(() =>
      store.write(() => {
        addReading(store, reading('a'));
        throw new Error('no');
      }),
    ).toThrow();
    expect(store.dataVersion()).toBe(before);
  });

  it('grows when another process writes, through this program or past it', () => {
    const store = opened(file);
    const other = opened(file);
    const first = store.dataVersion();
    other.write(() => addReading(other, reading('a')));
    const second = store.dataVersion();
    expect(second).toBeGreaterThan(first);
    const stranger = new Database(file);
    stranger.exec(`INSERT INTO coverage VALUES ('mower', 1, 2)`);
    stranger.close();
    const third = store.dataVersion();
    expect(third).toBeGreaterThan(second);
    expect(store.dataVersion()).toBe(third);
  });
});

describe('facts', () => {
  it.each([
    'UPDATE readings SET hours = 11',
    'DELETE FROM readings',
    'UPDATE records SET day = day',
    'DELETE FROM records',
    'UPDATE record_tasks SET task = task',
    'DELETE FROM findings',
    'DELETE FROM answers',
  ])('are never edited nor deleted: %s', (statement) => {
    const store = opened(file);
    store.write(() => {
      addReading(store, reading('a'));
      store.sql.run(
        `INSERT INTO records (id, machine, day, hours_known, door, entered_at_ms) VALUES ('r', 'mower', '2031-04-05', 'unknown', 'page', 1)`,
      );
      store.sql.run(`INSERT INTO record_tasks VALUES ('r', 0, 'oil')`);
      store.sql.run(`INSERT INTO findings (record, number, task, measurement) VALUES ('r', 0, 'oil', 'gap')`);
      store.sql.run(`INSERT INTO answers (machine, kind, tasks, at_ms) VALUES ('mower', 'have-parts', '[]', 1)`);
    });
    expect(faultOf(() => store.write(() => store.sql.run(statement))).code).toBe('store-refused');
  });

  it('with an unreadable column are a fault, not a guess', () => {
    const store = opened(file);
    store.write(() => addReading(store, reading('a')));
    store.sql.run(
      `INSERT INTO readings (id, machine, at_ms, hours, about, door, entered_at_ms) VALUES ('b', 'mower', 2, 3, 0, 'chimney', 1)`,
    );
    const fault = faultOf(() => readingsOf(store, ['mower']));
    expect(fault.code).toBe('store-row-unreadable');
    expect(fault.found).toBe('chimney');
  });
});
