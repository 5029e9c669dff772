import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { noLog } from '../../tests/stage/no-log.js';
import { pushKeysIn } from '../channels/push-keys.js';
import { loadHome } from '../home/load-home.js';
import { backUp } from '../store/backup.js';
import { putPushDevice } from '../store/facts/push-devices.js';
import { openStore } from '../store/open.js';
import { devicesIn, openWaysPastData } from './ways-past-data.js';

let dir: string;
let data: string;
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'shedbell-ways-'));
  data = join(dir, 'data');
  mkdirSync(data);
  mkdirSync(join(dir, 'machines'));
  writeFileSync(
    join(dir, 'household.yaml'),
    'name: Weir Cottage\ntimezone: Europe/Lisbon\npeople: [{ id: ada, name: Ada, mail: ada@weircottage.example.org }]\n',
  );
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

function household() {
  const read = loadHome(dir, {});
  if (read.kind !== 'home') throw new Error(read.faults.map((fault) => fault.line).join('\n'));
  return read.home.household;
}

/** A backup that knows one device, or none. */
async function copyWith(hasDevice: boolean): Promise<string> {
  const store = openStore(join(dir, 'other.sqlite'));
  if (hasDevice) {
    const endpoint = 'https://push.example.org/one';
    store.mark(() =>
      putPushDevice(store, { id: 'device-1', person: 'ada', endpoint, p256dh: 'BA', auth: 'AA', addedAtMs: 1 }),
    );
  }
  const copy = join(dir, 'copy.sqlite');
  await backUp(store.file, copy, { files: [], atMs: 1 });
  store.close();
  return copy;
}

const kinds = (copy: string | null) =>
  openWaysPastData(data, household(), () => devicesIn(copy), noLog).map(({ kind }) => kind);

it('devices are pushed to where the newest copy knows them and the keys are there; the copy stays as it is', async () => {
  const copy = await copyWith(true);
  pushKeysIn(data);
  const before = readFileSync(copy);
  expect(kinds(copy)).toEqual(['file', 'push']);
  expect(readFileSync(copy).equals(before)).toBe(true);
  expect(readdirSync(dir).filter((name) => name.startsWith('copy.sqlite'))).toEqual(['copy.sqlite']);
});

it('without keys none are made, because no device would know them', async () => {
  expect(kinds(await copyWith(true))).toEqual(['file']);
  expect(readdirSync(data)).toEqual([]);
});

it('without a copy, and with one that knows no device, the other ways are left', async () => {
  pushKeysIn(data);
  expect(kinds(null)).toEqual(['file']);
  expect(kinds(await copyWith(false))).toEqual(['file']);
});

it('the data file itself tells devices as well, what stands in the log beside it included, and stays as it is', () => {
  pushKeysIn(data);
  const file = join(data, 'shedbell.sqlite');
  const store = openStore(file);
  const endpoint = 'https://push.example.org/one';
  store.mark(() =>
    putPushDevice(store, { id: 'device-1', person: 'ada', endpoint, p256dh: 'BA', auth: 'AA', addedAtMs: 1 }),
  );
  const before = [readFileSync(file), readFileSync(`${file}-wal`)];
  expect(devicesIn(file).map((device) => device.endpoint)).toEqual([endpoint]);
  expect([readFileSync(file), readFileSync(`${file}-wal`)]).toEqual(before);
  store.close();
});
