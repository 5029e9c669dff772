import { copyFileSync, existsSync, mkdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { dataFolder } from '../daemon/wire.js';
import { formatInstant } from '../domain/day.js';
import { writeWhole } from '../home/change-file.js';
import { isHomeFile } from '../home/kept-files.js';
import { type BackupContents, type KeptFile, readBackup, restoreData, rowsNow } from '../store/backup.js';
import { giveTo } from '../store/give-to.js';
import { takeLock } from '../store/lock.js';
import { type At, homeFolder } from './at.js';
import { exitStatus, type Output } from './output.js';

/** `shedbell restore FILE`: puts a backup in the place of what is there, which is kept beside it. */
export async function runRestore(
  at: At,
  file: string,
  options: { readonly dryRun?: true },
  out: Output,
): Promise<number> {
  const dir = homeFolder(at.home);
  const data = join(dataFolder(dir), 'shedbell.sqlite');
  const backup = resolve(file);
  if (options.dryRun === true) {
    const held = readBackup(backup);
    out.line(`The backup of ${formatInstant(held.madeAtMs)} is whole. Restoring it would change:`);
    for (const line of differences(held, data, dir)) out.line(`  ${line}`);
    out.line('Nothing was changed.');
    return exitStatus.fine;
  }
  const lock = takeLock(dataFolder(dir), { pid: process.pid });
  try {
    const held = readBackup(backup);
    const lines = differences(held, data, dir);
    const aside = asideFolder(dataFolder(dir));
    await restoreData(backup, data, aside);
    for (const one of changedFiles(held, dir)) putBack(one, dir, aside);
    out.line(`Restored the backup of ${formatInstant(held.madeAtMs)}:`);
    for (const line of lines) out.line(`  ${line}`);
    out.line(`What was there before lies in ${aside}.`);
    return exitStatus.fine;
  } finally {
    lock.release();
  }
}

function differences(held: BackupContents, data: string, dir: string): readonly string[] {
  const now = rowsNow(data);
  const tables = [...new Set([...held.rows.keys(), ...(now?.keys() ?? [])])].sort();
  const rows = tables.flatMap((table) => {
    const after = held.rows.get(table) ?? 0;
    const before = now?.get(table) ?? 0;
    return before === after ? [] : [`${table.replaceAll('_', ' ')}: ${before} now, ${after} in the backup`];
  });
  const files = changedFiles(held, dir).map(
    ({ path }) => `${path}: ${existsSync(join(dir, path)) ? 'replaced by the one in the backup' : 'written anew'}`,
  );
  const damaged = now === null ? ['the data here are damaged and cannot be counted'] : [];
  const all = [...damaged, ...rows, ...files];
  return all.length === 0 ? ['nothing in number: as many entries of each kind, and the same files'] : all;
}

function changedFiles(held: BackupContents, dir: string): readonly KeptFile[] {
  return held.files.filter(({ path, text }) => isHomeFile(path) && textOf(join(dir, path)) !== text);
}

function textOf(file: string): string | null {
  return existsSync(file) ? readFileSync(file, 'utf8') : null;
}

function putBack({ path, text }: KeptFile, dir: string, aside: string): void {
  const file = join(dir, path);
  if (existsSync(file)) {
    mkdirSync(dirname(join(aside, path)), { recursive: true, mode: 0o700 });
    copyFileSync(file, join(aside, path));
    giveTo(dir, [dirname(join(aside, path))]);
  }
  const made = mkdirSync(dirname(file), { recursive: true });
  writeWhole(file, text);
  giveTo(dir, [...(made === undefined ? [] : [made]), file]);
}

/** A folder that is not there yet. */
function asideFolder(data: string): string {
  for (let number = 1; ; number += 1) {
    const folder = join(data, `replaced-${number}`);
    if (!existsSync(folder)) return folder;
  }
}
