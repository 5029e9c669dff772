import { closeSync, existsSync, openSync, readdirSync, readFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { dayMs, hourMs } from '../../src/domain/day.js';
import { readBackup } from '../../src/store/backup.js';
import { openStore } from '../../src/store/open.js';
import { startWatched } from '../stage/watched-service.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

/** Rubbish over all but the first pages. What the log holds goes into the file before. */
function damage(file: string): void {
  openStore(file).close();
  const bytes = readFileSync(file);
  expect(bytes.length).toBeGreaterThan(60 * 1024);
  bytes.fill(0x5a, 20 * 1024);
  const handle = openSync(file, 'r+');
  writeSync(handle, bytes);
  closeSync(handle);
}

test('damage is found in the week it happens, also where no backup can be made: said on the page, on /health and once by mail', async () => {
  // A folder that cannot be: below a file.
  const { data, pass, told, page, health } = await startWatched(
    closers,
    'backup: { folder: household.yaml/backups }\n',
  );
  await pass(3 * dayMs);
  expect(await health()).toMatchObject({ code: null });
  damage(data);
  await pass(5 * dayMs);
  expect(told()).toHaveLength(1);
  expect(told()[0]?.mail.text).toContain('what is entered from now on may be lost');
  expect(await page()).toContain('The data file is damaged: what is entered from now on may be lost');
  expect(await health()).toMatchObject({ status: 'failing', code: 'store-corrupt' });
  await pass(2 * dayMs);
  expect(told()).toHaveLength(1);
}, 120_000);

test('the nightly backup finds it the same night, names the copy of the night before, and never replaces it', async () => {
  const { dir, data, pass, told, page } = await startWatched(closers, '');
  await pass(2 * dayMs);
  const folder = join(dir, 'data', 'backups');
  const before = readdirSync(folder).sort();
  damage(data);
  await pass(dayMs + hourMs);
  expect(told()).toHaveLength(1);
  const newest = join(folder, before.at(-1) ?? '');
  expect(await page()).toContain(`restore ${newest}`);
  await pass(2 * dayMs);
  expect(readdirSync(folder).sort()).toEqual(before);
  expect(readBackup(newest).files.length).toBeGreaterThan(0);
  expect(told()).toHaveLength(1);
  // Nothing more of it goes by the outbox that needs the data.
  expect(existsSync(join(dir, 'data', 'told-data-file.json'))).toBe(true);
}, 120_000);
