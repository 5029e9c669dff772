import type { Channel } from '../channels/channel.js';
import type { Log } from '../domain/outside.js';
import type { Delivery, Envelope } from '../domain/results/envelope.js';
import type { Books } from '../ledger/books.js';
import { wantsNoMail } from '../ledger/mail-ended.js';
import { goesToDevicesToo, noteAttempt, noteSending, type OutboxLetter, waitingLetters } from '../ledger/outbox.js';
import { devicesThatHave, pushDevices } from '../ledger/push-devices.js';
import { threadOf } from '../ledger/thread.js';
import { endsMail } from './links.js';

/** Attempts at the devices of a person, or at the broker, before mail stands in: over more than four hours. */
const triesBeforeMail = 4;

/** Empties the outbox: every letter whose time has come is tried once, in the order of writing.
 *  The attempt is noted before it is made, so that a crash in between can repeat a letter but never lose one.
 *  @param stopping once aborted, the letter under way is the last: others wait for the next start
 *  @param unnoted  how attempts went that could not be written down (a full disk), kept by the caller for the next time: without it
 *                  such a letter would lie until the next start, and then go out again
 *  @returns how many were delivered */
export async function deliver(
  books: Books,
  channels: readonly Channel[],
  log: Log,
  stopping?: AbortSignal,
  unnoted: Map<string, Delivery> = new Map(),
): Promise<number> {
  let delivered = 0;
  for (const [id, delivery] of unnoted) {
    noteAttempt(books, id, delivery);
    unnoted.delete(id);
  }
  for (const waiting of waitingLetters(books)) {
    if (stopping?.aborted) break;
    // Another process may have taken it since.
    if (!noteSending(books, waiting.id)) continue;
    const delivery = await attempt(books, channels, waiting);
    unnoted.set(waiting.id, delivery);
    noteAttempt(books, waiting.id, delivery);
    unnoted.delete(waiting.id);
    const fields = { letter: waiting.id, to: waiting.to, channel: waiting.channel };
    if (delivery.kind === 'delivered') {
      delivered += 1;
      log.info(fields, 'a message went out');
    } else log.warn({ ...fields, reason: delivery.reason }, 'a message did not go out');
  }
  return delivered;
}

async function attempt(books: Books, channels: readonly Channel[], waiting: OutboxLetter): Promise<Delivery> {
  const person = books.home().household.people.find((p) => p.id === waiting.to);
  if (person === undefined) return { kind: 'refused', reason: 'this person is no longer in household.yaml' };
  // An address that was taken away since, or a wish for no more mail, leaves the letter as a file.
  const takesMail = person.mail !== undefined && !wantsNoMail(books, person.id);
  const wanted = waiting.channel === 'mail' && !takesMail ? 'file' : waiting.channel;
  const channel = channels.find((c) => c.kind === wanted) ?? channels.find((c) => c.kind === 'file');
  if (channel === undefined) return { kind: 'try-later', reason: 'no way out is set up', afterMs: null };
  try {
    const thread = threadOf(books, waiting.copyOf ?? waiting.id);
    const envelope = { ...waiting, to: person, thread, ...endsMail(books, person) };
    const delivery = await channel.deliver(envelope);
    const push = channels.find((c) => c.kind === 'push');
    if (delivery.kind === 'refused' && channel.kind === 'mail' && push !== undefined && mayGoToDevices(books, waiting))
      return standIn(push, envelope, delivery.reason, delivery);
    const mayFallBack = channel.kind === 'push' || channel.kind === 'topic';
    if (delivery.kind === 'delivered' || !mayFallBack || waiting.copyOf !== null) return delivery;
    // A letter that no device takes any more, or that none (nor the broker) could be reached with for hours, must not be lost; a copy
    // of one that goes another way may be.
    const isOverdue = delivery.kind === 'try-later' && waiting.attempts >= triesBeforeMail;
    if (isOverdue && devicesThatHave(books, waiting.id).length > 0)
      return { kind: 'delivered', detail: delivery.reason };
    const mail = takesMail ? channels.find((c) => c.kind === 'mail') : undefined;
    const instead = delivery.kind === 'refused' ? (mail ?? channels.find((c) => c.kind === 'file')) : mail;
    if (instead === undefined || (delivery.kind === 'try-later' && !isOverdue)) return delivery;
    return standIn(instead, envelope, delivery.reason, null);
  } catch (failure) {
    // A channel promises to answer; where it breaks that, the letter still waits.
    return { kind: 'try-later', reason: failure instanceof Error ? failure.message : String(failure), afterMs: null };
  }
}

/** What the mail server would not take is told on the devices of the person, unless it goes there anyway. */
function mayGoToDevices(books: Books, { id, to, copyOf }: OutboxLetter): boolean {
  if (copyOf !== null || goesToDevicesToo(books, id)) return false;
  return pushDevices(books).some((device) => device.person === to);
}

/** Sends by another way what the first would not take.
 *  @param otherwise  the answer where this way does not take it either; null: its own */
async function standIn(
  way: Channel,
  envelope: Envelope,
  whyNot: string,
  otherwise: Delivery | null,
): Promise<Delivery> {
  const second = await way.deliver(envelope);
  if (second.kind !== 'delivered') return otherwise ?? second;
  return { ...second, detail: `${whyNot}; by ${way.kind} instead: ${second.detail}` };
}
