import { copyFileSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Channel } from '../channels/channel.js';
import { fileChannel } from '../channels/file.js';
import { smtpChannel } from '../channels/mail.js';
import { pushChannel } from '../channels/push.js';
import { pushContact, pushKeysFile, pushKeysIn } from '../channels/push-keys.js';
import { topicChannel } from '../channels/topic.js';
import type { Household } from '../domain/household.js';
import type { Log } from '../domain/outside.js';
import type { PushDevice } from '../domain/push-device.js';
import { allPushDevices } from '../store/facts/push-devices.js';
import { openStore } from '../store/open.js';

/** The ways out that work without the data: mail, files, the broker; push where the keys lie beside the data and devices are known.
 *  @param devices  as a copy or what can still be read of the data knows them; may throw */
export function openWaysPastData(
  folder: string,
  household: Household,
  devices: () => readonly PushDevice[],
  log: Log,
): readonly Channel[] {
  return [
    ...(household.smtp === undefined ? [] : [smtpChannel(household.smtp, household, log)]),
    ...(household.mqtt === undefined ? [] : [topicChannel(household.mqtt)]),
    fileChannel(join(folder, 'outbox'), household),
    ...pushWay(folder, household, devices, log),
  ];
}

function pushWay(
  folder: string,
  household: Household,
  known: () => readonly PushDevice[],
  log: Log,
): readonly Channel[] {
  const contact = pushContact(household);
  if (contact === null || !existsSync(join(folder, pushKeysFile))) return [];
  try {
    const devices = known();
    if (devices.length === 0) return [];
    const book = {
      devices: (person: string) => devices.filter((device) => device.person === person),
      taken: () => [],
      note: () => {},
    };
    return [pushChannel(pushKeysIn(folder), contact, book, log)];
  } catch (failure) {
    log.warn({ failure: String(failure) }, 'devices cannot be pushed to');
    return [];
  }
}

/** Memory that is a folder on most systems, for where the disk of temporary files takes nothing either. */
const inMemory = '/dev/shm';

/** Devices as a data file or a backup knows them. It is brought to this version's schema in a place of its own, and stays as it is.
 *  @param file  null gives none
 *  @throws where it cannot be read, or nowhere is room for a copy */
export function devicesIn(file: string | null): readonly PushDevice[] {
  if (file === null) return [];
  try {
    return devicesByWayOf(tmpdir(), file);
  } catch (failure) {
    if (!existsSync(inMemory)) throw failure;
    return devicesByWayOf(inMemory, file);
  }
}

function devicesByWayOf(folder: string, file: string): readonly PushDevice[] {
  const place = mkdtempSync(join(folder, 'shedbell-copy-'));
  try {
    const copy = join(place, 'copy.sqlite');
    copyFileSync(file, copy);
    // What was written last may stand in the log beside it only.
    if (existsSync(`${file}-wal`)) copyFileSync(`${file}-wal`, `${copy}-wal`);
    const store = openStore(copy);
    try {
      return allPushDevices(store);
    } finally {
      store.close();
    }
  } finally {
    rmSync(place, { recursive: true, force: true });
  }
}
