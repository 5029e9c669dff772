import {
  chownSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { backUp, backupMadeAtMs, readBackup, restoreData, rowsNow } from './backup.js';
import { addCoverage, coverageOf } from './facts/coverage.js';
import { openStore } from './open.js';

let folder: string;
let file: string;
let copy: string;
const kept = { files: [{ path: 'household.yaml', text: 'name: X\n' }], atMs: 1_900_000_000_000 };

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shedbell-backup-'));
  file = join(folder, 'shedbell.sqlite');
  copy = join(folder, 'copy.sqlite');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function entered(fromMs: number): void {
  const store = openStore(file);
  store.write(() => addCoverage(store, 'mower', { fromMs, toMs: fromMs + 1 }));
  store.close();
}

function spans(): number {
  const store = openStore(file);
  const count = coverageOf(store, ['mower']).get('mower')?.length ?? 0;
  store.close();
  return count;
}

it('a backup made while the service writes holds what was acknowledged, in one file for its owner only', async () => {
  const store = openStore(file);
  store.write(() => addCoverage(store, 'mower', { fromMs: 1, toMs: 2 }));
  const making = backUp(file, copy, kept);
  store.write(() => addCoverage(store, 'mower', { fromMs: 5, toMs: 6 }));
  await making;
  store.close();
  const held = readBackup(copy);
  expect(held.files).toEqual(kept.files);
  expect(held.madeAtMs).toBe(kept.atMs);
  expect(backupMadeAtMs(copy)).toBe(kept.atMs);
  expect(held.rows.get('coverage')).toBeGreaterThanOrEqual(1);
  expect(statSync(copy).mode & 0o777).toBe(0o600);
  expect(readdirSync(folder).filter((name) => name.startsWith('copy'))).toEqual(['copy.sqlite']);
});

it('a file that is no backup is never written over, the data themselves least of all', async () => {
  entered(1);
  writeFileSync(copy, 'a letter to my aunt');
  await expect(backUp(file, copy, kept)).rejects.toMatchObject({ code: 'backup-not-ours' });
  expect(readFileSync(copy, 'utf8')).toBe('a letter to my aunt');
  await expect(backUp(file, file, kept)).rejects.toMatchObject({ code: 'backup-not-ours' });
  const other = join(folder, 'other.sqlite');
  new Database(other).exec('CREATE TABLE songs (title TEXT)').close();
  await expect(backUp(file, other, kept)).rejects.toMatchObject({ code: 'backup-not-ours' });
  expect(spans()).toBe(1);
});

it('an older backup is replaced in one step, and stays where the new one fails', async () => {
  entered(1);
  await backUp(file, copy, kept);
  entered(9);
  await backUp(file, copy, { ...kept, atMs: kept.atMs + 1 });
  expect(readBackup(copy).rows.get('coverage')).toBe(2);
  damage(file);
  await expect(backUp(file, copy, kept)).rejects.toMatchObject({ code: 'store-corrupt' });
  expect(readBackup(copy).madeAtMs).toBe(kept.atMs + 1);
  expect(existsSync(`${copy}.unfinished`)).toBe(false);
});

it('a restore puts the data back as they were and keeps what it replaces', async () => {
  entered(1);
  await backUp(file, copy, kept);
  entered(9);
  const aside = join(folder, 'replaced-1');
  await restoreData(copy, file, aside);
  expect(spans()).toBe(1);
  const before = openStore(join(aside, 'shedbell.sqlite'));
  expect(coverageOf(before, ['mower']).get('mower')).toHaveLength(2);
  before.close();
  expect(readdirSync(folder).filter((name) => /restoring/.test(name))).toEqual([]);
});

it.skipIf(process.getuid?.() !== 0)(
  'root, who restores, leaves the data to the user of the service (as root)',
  async () => {
    entered(1);
    await backUp(file, copy, kept);
    chownSync(folder, 4711, 4712);
    await restoreData(copy, file, join(folder, 'replaced-1'));
    for (const path of [file, join(folder, 'replaced-1'), join(folder, 'replaced-1', 'shedbell.sqlite')]) {
      expect(statSync(path)).toMatchObject({ uid: 4711, gid: 4712 });
    }
  },
);

it('damaged data are replaced all the same, and kept', async () => {
  entered(1);
  await backUp(file, copy, kept);
  damage(file);
  expect(() => openStore(file)).toThrow(expect.objectContaining({ code: 'store-corrupt' }));
  const aside = join(folder, 'replaced-1');
  await restoreData(copy, file, aside);
  expect(spans()).toBe(1);
  expect(existsSync(join(aside, 'shedbell.sqlite'))).toBe(true);
});

it('a backup that does not say when it was made has no time, not that of 1970', async () => {
  entered(1);
  await backUp(file, copy, kept);
  expect(backupMadeAtMs(copy)).toBe(kept.atMs);
  const emptied = new Database(copy);
  emptied.exec('DELETE FROM kept_about');
  emptied.close();
  expect(backupMadeAtMs(copy)).toBeNull();
});

it('a backup of a newer version, a foreign file, a plain database and a damaged backup are refused', async () => {
  entered(1);
  await backUp(file, copy, kept);
  const newer = new Database(copy);
  newer.pragma('user_version = 9999');
  newer.close();
  expect(() => readBackup(copy)).toThrow(expect.objectContaining({ code: 'store-newer' }));
  await expect(restoreData(copy, file, join(folder, 'aside'))).rejects.toMatchObject({ code: 'store-newer' });
  expect(() => readBackup(file)).toThrow(expect.objectContaining({ code: 'backup-not-ours' }));
  writeFileSync(join(folder, 'text'), 'x'.repeat(500));
  expect(() => readBackup(join(folder, 'text'))).toThrow(expect.objectContaining({ code: 'backup-not-ours' }));
  expect(() => readBackup(join(folder, 'none'))).toThrow(expect.objectContaining({ code: 'store-cannot-open' }));
  rmSync(copy);
  await backUp(file, copy, kept);
  damage(copy);
  expect(() => readBackup(copy)).toThrow(expect.objectContaining({ code: 'store-corrupt' }));
  expect(spans()).toBe(1);
  expect(rowsNow(join(folder, 'none'))).toEqual(new Map());
});

/** Writes rubbish over every page but the first. */
function damage(path: string): void {
  const bytes = readFileSync(path);
  bytes.fill(0x5a, 1024);
  writeFileSync(path, bytes);
}
