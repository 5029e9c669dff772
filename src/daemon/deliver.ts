import type { Channel } from '../channels/channel.js';
import type { Log } from '../domain/outside.js';
import type { Delivery } from '../domain/results/envelope.js';
import type { Books } from '../ledger/books.js';
import { wantsNoMail } from '../ledger/mail-ended.js';
import { noteAttempt, noteSending, type OutboxLetter, waitingLetters } from '../ledger/outbox.js';
import { endsMail } from './links.js';

/** Empties the outbox: every letter whose time has come is tried once, in the order of writing.
 *  The attempt is noted before it is made, so that a crash in between can repeat a letter but never lose one.
 *  @param stopping once aborted, the letter under way is the last: others wait for the next start
 *  @returns how many were delivered */
export async function deliver(
  books: Books,
  channels: readonly Channel[],
  log: Log,
  stopping?: AbortSignal,
): Promise<number> {
  let delivered = 0;
  for (const waiting of waitingLetters(books)) {
    if (stopping?.aborted) break;
    // Another process may have taken it since.
    if (!noteSending(books, waiting.id)) continue;
    const delivery = await attempt(books, channels, waiting);
    noteAttempt(books, waiting.id, delivery);
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
    const envelope = { ...waiting, to: person, ...endsMail(books, person) };
    const delivery = await channel.deliver(envelope);
    // A letter that no device takes any more must not be lost; a copy of one that goes another way may be.
    if (delivery.kind !== 'refused' || channel.kind !== 'push' || waiting.copyOf !== null) return delivery;
    const mail = takesMail ? channels.find((c) => c.kind === 'mail') : undefined;
    const instead = mail ?? channels.find((c) => c.kind === 'file');
    if (instead === undefined) return delivery;
    const second = await instead.deliver(envelope);
    const why = `${delivery.reason}; by ${instead.kind} instead`;
    return second.kind === 'delivered' ? { ...second, detail: `${why}: ${second.detail}` } : second;
  } catch (failure) {
    // A channel promises to answer; where it breaks that, the letter still waits.
    return { kind: 'try-later', reason: failure instanceof Error ? failure.message : String(failure), afterMs: null };
  }
}
