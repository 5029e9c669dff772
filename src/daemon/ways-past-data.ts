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

/** The ways out that work without the data: mail, files, the broker; push where the keys lie beside the data and the newest copy
 *  knows devices.
 *  @param copy  the newest backup that is whole, or null */
export function openWaysPastData(
  folder: string,
  household: Household,
  copy: () => string | null,
  log: Log,
): readonly Channel[] {
  return [
    ...(household.smtp === undefined ? [] : [smtpChannel(household.smtp, household, log)]),
    ...(household.mqtt === undefined ? [] : [topicChannel(household.mqtt)]),
    fileChannel(join(folder, 'outbox'), household),
    ...pushWay(folder, household, copy, log),
  ];
}

function pushWay(folder: string, household: Household, copy: () => string | null, log: Log): readonly Channel[] {
  const contact = pushContact(household);
  if (contact === null || !existsSync(join(folder, pushKeysFile))) return [];
  try {
    const devices = devicesIn(copy());
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

/** Devices as the copy knows them. It is brought to this version's schema in a place of its own, and stays as it is. */
function devicesIn(copy: string | null): readonly PushDevice[] {
  if (copy === null) return [];
  const place = mkdtempSync(join(tmpdir(), 'shedbell-copy-'));
  try {
    const file = join(place, 'copy.sqlite');
    copyFileSync(copy, file);
    const store = openStore(file);
    try {
      return allPushDevices(store);
    } finally {
      store.close();
    }
  } finally {
    rmSync(place, { recursive: true, force: true });
  }
}
