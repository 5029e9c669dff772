import {
  closeSync,
  existsSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, expect, test } from 'vitest';
import { type Serving, serve } from '../../src/daemon/serve.js';
import { openService } from '../../src/daemon/wire.js';
import { dayMs, hourMs, minuteMs, parseDay, parseInstant, parseZone } from '../../src/domain/day.js';
import { loadHome } from '../../src/home/load-home.js';
import { initHome } from '../../src/home/write-example.js';
import { readBackup } from '../../src/store/backup.js';
import { openStore } from '../../src/store/open.js';
import { startMailServer } from '../stage/mail-server.js';
import { noLog } from '../stage/no-log.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

/** A service on a driven clock, with a real mail server. */
async function stage(household: string) {
  const mail = await startMailServer({ security: 'plain', login: null });
  closers.push(() => mail.close());
  const dir = join(mkdtempSync(join(tmpdir(), 'shedbell-week-')), 'shed');
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('Europe/Lisbon') });
  const smtp = `smtp: { host: 127.0.0.1, port: ${mail.port}, security: plain, from: shed@weircottage.example }`;
  writeFileSync(
    join(dir, 'household.yaml'),
    `name: Weir Cottage\ntimezone: Europe/Lisbon\npeople: [{ id: ada, name: Ada, mail: ada@weircottage.example }]\n${smtp}\n${household}`,
  );
  const read = loadHome(dir, {});
  if (read.kind === 'faults') throw new Error(read.faults[0]?.line);
  const clock = { nowMs: parseInstant('2027-05-03T09:00:00Z', parseZone('UTC')) };
  const service = openService({ homeDir: dir, home: read.home, clock: { nowMs: () => clock.nowMs }, log: noLog });
  const serving: Serving = await serve({
    service,
    homeDir: dir,
    host: '127.0.0.1',
    port: 0,
    log: noLog,
    monotonicMs: () => clock.nowMs,
  });
  closers.push(() => serving.close());
  const pass = async (ms: number) => {
    for (const untilMs = clock.nowMs + ms; clock.nowMs < untilMs; clock.nowMs += 30 * minuteMs) await serving.wake();
  };
  const told = () => mail.arrived.filter((one) => one.mail.subject?.endsWith('the data file is damaged'));
  const page = async () => (await fetch(`http://127.0.0.1:${serving.port}/`)).text();
  const health = async () => (await fetch(`http://127.0.0.1:${serving.port}/health`)).json();
  return { dir, data: join(dir, 'data', 'shedbell.sqlite'), pass, told, page, health };
}

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
  const { data, pass, told, page, health } = await stage('backup: { folder: household.yaml/backups }\n');
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
  const { dir, data, pass, told, page } = await stage('');
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
