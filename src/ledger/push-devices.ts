import { mostDevices, type PushDevice, type PushSubscription, whySubscriptionUnfit } from '../domain/push-device.js';
import {
  addPushTaken,
  allPushDevices,
  findPushDevice,
  markPushDevice,
  pushTakenBy,
  putPushDevice,
  removePushDevice,
} from '../store/facts/push-devices.js';
import type { Books } from './books.js';
import { type Refused, refusal } from './errors.js';

/** Takes a browser's subscription for a person, or renews it: browsers change their keys, and people change devices, so the same
 *  address comes again and stays one device.
 *  @returns refused where it cannot be used, where nobody has that id, or where the person has too many devices */
export function enterPushDevice(
  books: Books,
  person: string,
  subscription: PushSubscription,
): { readonly kind: 'entered'; readonly device: PushDevice } | Refused {
  const { store } = books;
  const { people } = books.home().household;
  const why = whySubscriptionUnfit(subscription);
  if (why !== null) return refused('device-unfit', `This device cannot be told: ${why}`);
  if (!people.some((one) => one.id === person))
    return refused('person-unknown', 'Nobody of that name is told anything');
  return store.mark(() => {
    const known = findPushDevice(store, subscription.endpoint);
    const own = allPushDevices(store).filter((one) => one.person === person && one.id !== known?.id);
    if (own.length >= mostDevices)
      return refused('too-many-devices', `More than ${mostDevices} devices for one person; take one away first`);
    const isSame = known?.person === person && known.p256dh === subscription.p256dh && known.auth === subscription.auth;
    if (known !== null && isSame) return { kind: 'entered', device: known };
    const id = known?.id ?? store.newId('device');
    const { endpoint, p256dh, auth } = subscription;
    const device = { id, person, endpoint, p256dh, auth, addedAtMs: known?.addedAtMs ?? books.clock.nowMs() };
    putPushDevice(store, device);
    return { kind: 'entered', device: { ...device, refusals: 0, lastWord: null } };
  });
}

/** Devices of everybody, in the order in which they came; those of people who left the household too. */
export function pushDevices(books: Books): readonly PushDevice[] {
  return allPushDevices(books.store);
}

/** Takes a device away; one that is gone already stays gone. */
export function dropPushDevice(books: Books, id: string): void {
  books.store.mark(() => removePushDevice(books.store, id));
}

/** Notes how a push service answered, so that the devices that have a letter are not told twice. */
export function notePush(
  books: Books,
  letter: string,
  device: PushDevice,
  answer:
    | { readonly kind: 'taken' }
    | { readonly kind: 'gone' }
    | { readonly kind: 'refused' | 'later'; readonly reason: string },
): void {
  const { store } = books;
  store.mark(() => {
    if (answer.kind === 'gone') return removePushDevice(store, device.id);
    if (answer.kind === 'taken') {
      addPushTaken(store, letter, device.id);
      markPushDevice(store, device.id, { refusals: 0, lastWord: null });
      return;
    }
    const refusals = device.refusals + (answer.kind === 'refused' ? 1 : 0);
    markPushDevice(store, device.id, { refusals, lastWord: answer.reason });
  });
}

/** Ids of the devices that have a letter. */
export function devicesThatHave(books: Books, letter: string): readonly string[] {
  return pushTakenBy(books.store, letter);
}

function refused(code: 'device-unfit' | 'person-unknown' | 'too-many-devices', message: string): Refused {
  return { kind: 'refused', fault: refusal(code, message) };
}
