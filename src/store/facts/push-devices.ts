import type { PushDevice } from '../../domain/push-device.js';
import type { Store } from '../open.js';
import { number, text, textOrNull } from '../row.js';
import type { Row } from '../sql.js';

/** A browser that is known by its address already gets its keys and its person anew; how it fared is forgotten. */
export function putPushDevice(store: Store, device: Omit<PushDevice, 'refusals' | 'lastWord'>): void {
  store.sql.run(
    `INSERT INTO push_devices (id, person, endpoint, p256dh, auth, added_at_ms, refusals, last_word)
     VALUES (:id, :person, :endpoint, :p256dh, :auth, :addedAtMs, 0, NULL)
     ON CONFLICT (endpoint) DO UPDATE SET person = :person, p256dh = :p256dh, auth = :auth, refusals = 0, last_word = NULL`,
    { ...device },
  );
}

/** The device behind the address that its browser gave for push; null where it is not known. */
export function findPushDevice(store: Store, endpoint: string): PushDevice | null {
  const row = store.sql.row('SELECT * FROM push_devices WHERE endpoint = :endpoint', { endpoint });
  return row === null ? null : deviceOf(row);
}

/** Devices of everybody, in the order in which they came. */
export function allPushDevices(store: Store): readonly PushDevice[] {
  return store.sql.rows('SELECT * FROM push_devices ORDER BY added_at_ms, rowid').map(deviceOf);
}

/** Forgets a device; nothing where it is not known. */
export function removePushDevice(store: Store, id: string): void {
  store.sql.run('DELETE FROM push_devices WHERE id = :id', { id });
}

/** Notes how a device's service took the last push. */
export function markPushDevice(store: Store, id: string, mark: Pick<PushDevice, 'refusals' | 'lastWord'>): void {
  store.sql.run('UPDATE push_devices SET refusals = :refusals, last_word = :lastWord WHERE id = :id', {
    id,
    refusals: mark.refusals,
    lastWord: mark.lastWord,
  });
}

/** A letter that is in no outbox, as a test is, is not written down. */
export function addPushTaken(store: Store, letter: string, device: string): void {
  store.sql.run(
    `INSERT INTO push_taken (letter, device)
     SELECT :letter, :device WHERE EXISTS (SELECT 1 FROM outbox WHERE id = :letter) ON CONFLICT DO NOTHING`,
    {
      letter,
      device,
    },
  );
}

/** Ids of the devices that have a letter. */
export function pushTakenBy(store: Store, letter: string): readonly string[] {
  return store.sql
    .rows('SELECT device FROM push_taken WHERE letter = :letter ORDER BY device', { letter })
    .map((row) => text(row, 'device'));
}

function deviceOf(row: Row): PushDevice {
  return {
    id: text(row, 'id'),
    person: text(row, 'person'),
    endpoint: text(row, 'endpoint'),
    p256dh: text(row, 'p256dh'),
    auth: text(row, 'auth'),
    addedAtMs: number(row, 'added_at_ms'),
    refusals: number(row, 'refusals'),
    lastWord: textOrNull(row, 'last_word'),
  };
}
