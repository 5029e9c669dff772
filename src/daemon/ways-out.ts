import { join } from 'node:path';
import type { Channel } from '../channels/channel.js';
import { fileChannel } from '../channels/file.js';
import { smtpChannel } from '../channels/mail.js';
import { type PushBook, pushChannel } from '../channels/push.js';
import { pushContact, pushKeysIn } from '../channels/push-keys.js';
import { topicChannel } from '../channels/topic.js';
import { Fault } from '../domain/fault.js';
import type { Household } from '../domain/household.js';
import type { Log } from '../domain/outside.js';
import type { Books } from '../ledger/books.js';
import { devicesThatHave, notePush, pushDevices } from '../ledger/push-devices.js';

/** Whether browsers can ask to be told here, and by which key; or why not, in a sentence. */
export type PushReadiness =
  | { readonly kind: 'ready'; readonly publicKey: string }
  | { readonly kind: 'not'; readonly why: string };

const noContact =
  'Push services want to know whom they can write to: set smtp: from: or the mail: of a person in household.yaml first.';

/** Every way out that household.yaml sets up; files always.
 *  @param dataDir  where the keys of push and the files are kept */
export function openWaysOut(dataDir: string, household: Household, books: Books, log: Log): readonly Channel[] {
  const contact = pushContact(household);
  return [
    ...(household.smtp === undefined ? [] : [smtpChannel(household.smtp, household, log)]),
    ...(contact === null ? [] : [pushWay(dataDir, contact, books, log)]),
    ...(household.mqtt === undefined ? [] : [topicChannel(household.mqtt)]),
    fileChannel(join(dataDir, 'outbox'), household),
  ];
}

/** The key that browsers ask with, made at the first asking. */
export function pushReadiness(dataDir: string, household: Household): PushReadiness {
  if (pushContact(household) === null) return { kind: 'not', why: noContact };
  try {
    return { kind: 'ready', publicKey: pushKeysIn(dataDir).publicKey };
  } catch (failure) {
    return { kind: 'not', why: failure instanceof Fault ? failure.line : String(failure) };
  }
}

/** The keys are looked for when something is to be pushed: a household without devices has none. */
function pushWay(dataDir: string, contact: string, books: Books, log: Log): Channel {
  const book: PushBook = {
    devices: (person) => pushDevices(books).filter((device) => device.person === person),
    taken: (letter) => devicesThatHave(books, letter),
    note: (letter, device, answer) => notePush(books, letter, device, answer),
  };
  return {
    kind: 'push',
    deliver: async (envelope) => pushChannel(pushKeysIn(dataDir), contact, book, log).deliver(envelope),
  };
}
