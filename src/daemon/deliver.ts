import type { Channel } from '../channels/channel.js';
import type { Log } from '../domain/outside.js';
import type { Delivery } from '../domain/results/envelope.js';
import type { Books } from '../ledger/books.js';
import { noteAttempt, noteSending, waitingLetters } from '../ledger/outbox.js';

/** Empties the outbox: every letter whose time has come is tried once, in the order of writing.
 *  The attempt is noted before it is made, so that a crash in between can repeat a letter but never lose one.
 *  @returns how many were delivered */
export async function deliver(books: Books, channels: readonly Channel[], log: Log): Promise<number> {
  let delivered = 0;
  for (const waiting of waitingLetters(books)) {
    const person = books.home().household.people.find((p) => p.id === waiting.to);
    const channel = channels.find((c) => c.kind === waiting.channel) ?? channels.find((c) => c.kind === 'file');
    const delivery: Delivery =
      person === undefined
        ? { kind: 'refused', reason: 'this person is no longer in household.yaml' }
        : channel === undefined
          ? { kind: 'try-later', reason: `no way out called ${waiting.channel} is set up`, afterMs: null }
          : await attempt(books, channel, { ...waiting, to: person });
    noteAttempt(books, waiting.id, delivery);
    if (delivery.kind === 'delivered') delivered += 1;
    const fields = { letter: waiting.id, to: waiting.to, channel: waiting.channel };
    if (delivery.kind === 'delivered') log.info(fields, 'a message went out');
    else log.warn({ ...fields, reason: delivery.reason }, 'a message did not go out');
  }
  return delivered;
}

async function attempt(books: Books, channel: Channel, envelope: Parameters<Channel['deliver']>[0]): Promise<Delivery> {
  noteSending(books, envelope.id);
  try {
    return await channel.deliver(envelope);
  } catch (failure) {
    // A channel promises to answer; where it breaks that, the letter still waits.
    return { kind: 'try-later', reason: failure instanceof Error ? failure.message : String(failure), afterMs: null };
  }
}
