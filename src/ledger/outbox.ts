import { hourMs, minuteMs } from '../domain/day.js';
import type { ChannelKind } from '../domain/household.js';
import type { Delivery } from '../domain/results/envelope.js';
import type { Letter } from '../domain/results/letter.js';
import { addAttempt } from '../store/facts/attempts.js';
import { reasonsByLetter } from '../store/facts/notices.js';
import {
  dueLetters,
  endUnsent,
  everyLetter,
  findLetter,
  hasCopyBy,
  type LetterMark,
  type LetterState,
  markLetter,
  type StoredLetter,
  troubledLetters,
} from '../store/facts/outbox.js';
import type { Books } from './books.js';

/** A letter that waits for its next attempt. */
export interface OutboxLetter {
  readonly id: string;
  readonly messageId: string;
  /** Person's id. */
  readonly to: string;
  readonly channel: ChannelKind;
  readonly letter: Letter;
  readonly writtenAtMs: number;
  readonly attempts: number;
  readonly nextTryAtMs: number;
  readonly inReplyTo: string | null;
  readonly references: readonly string[];
  /** The letter that this one repeats by a further way, or null. */
  readonly copyOf: string | null;
}

/** A letter with how it went, for the page of notices. */
export interface WrittenLetter extends OutboxLetter {
  /** The message of its notices. */
  readonly message: string;
  /** Why each of its notices went out, a sentence each. */
  readonly reasons: readonly string[];
  readonly state: LetterState;
  /** What the way out said last. */
  readonly lastWord: string | null;
}

/** Waits between attempts; the last one goes on until the letter is too old. */
const backoffMs = [5 * minuteMs, 15 * minuteMs, hourMs, 3 * hourMs, 6 * hourMs, 12 * hourMs, 24 * hourMs] as const;
const longestWaitMs = 24 * hourMs;
/** A letter that has not gone out by then says nothing true any more. */
const triesForMs = 5 * 24 * hourMs;
/** A crash while sending leaves in doubt whether the letter went: it is sent once more under the same Message-ID, not for ever. */
const mostCrashes = 1;
/** Letters of which nothing is to be noted any more. */
const ended: readonly LetterState[] = ['delivered', 'refused', 'withdrawn'];

/** Letters to try now, in the order of writing. One that an earlier run of the program left in the middle of sending comes
 *  once more; left so a second time it counts as unknown, and the page says so. */
export function waitingLetters(books: Books): OutboxLetter[] {
  const { store } = books;
  const nowMs = books.clock.nowMs();
  const due = dueLetters(store, nowMs, nowMs + 2 * longestWaitMs);
  const given = due.filter((l) => l.state === 'sending' && l.crashes >= mostCrashes);
  if (given.length > 0) {
    store.mark(() => {
      for (const letter of given) {
        addAttempt(store, letter.id, { atMs: nowMs, outcome: 'crashed', detail: null });
        markLetter(store, letter.id, {
          ...letter,
          state: 'unknown',
          crashes: letter.crashes + 1,
          lastWord: 'the program ended twice while sending it; it may have arrived',
        });
      }
    });
  }
  return due.filter((letter) => !given.includes(letter)).map(outboxLetter);
}

/** Marks a letter as being sent, before it is. Without the mark a crash in between could lose it.
 *  @returns false where it no longer waits: then it must not be sent */
export function noteSending(books: Books, id: string): boolean {
  const { store } = books;
  return store.mark(() => {
    const letter = findLetter(store, id);
    if (letter === null) return false;
    const isLeftOver = letter.state === 'sending' && letter.sender !== store.session;
    if (letter.state !== 'pending' && !(isLeftOver && letter.crashes < mostCrashes)) return false;
    if (isLeftOver) {
      addAttempt(store, id, { atMs: books.clock.nowMs(), outcome: 'crashed', detail: null });
    }
    markLetter(store, id, {
      ...letter,
      state: 'sending',
      sender: store.session,
      crashes: letter.crashes + (isLeftOver ? 1 : 0),
    });
    return true;
  });
}

/** Notes how an attempt went: delivered, refused for good, or to be tried later. One that failed for five days is refused. */
export function noteAttempt(books: Books, id: string, delivery: Delivery): void {
  const { store } = books;
  const isLast = (letter: StoredLetter) =>
    delivery.kind === 'try-later' && books.clock.nowMs() >= letter.writtenAtMs + triesForMs;
  const known = findLetter(store, id);
  // What is given up was not said: that is a change of the facts, other marks are none.
  (known !== null && isLast(known) ? store.write : store.mark)(() => {
    const letter = findLetter(store, id);
    if (letter === null || ended.includes(letter.state)) return;
    const nowMs = books.clock.nowMs();
    const detail = delivery.kind === 'delivered' ? delivery.detail : delivery.reason;
    addAttempt(store, id, { atMs: nowMs, outcome: delivery.kind, detail });
    markLetter(store, id, {
      ...letter,
      ...after(letter, delivery, nowMs),
      sender: null,
      attempts: letter.attempts + 1,
    });
    if (delivery.kind === 'try-later' && isLast(letter))
      endUnsent(store, id, 'given-up', `given up after five days: ${delivery.reason}`);
  });
}

/** Letters written since an instant that did not go out: refused for good, or tried in vain so far. */
export function lettersInTrouble(
  books: Books,
  sinceMs: number,
): readonly (OutboxLetter & Pick<WrittenLetter, 'state' | 'lastWord'>)[] {
  return troubledLetters(books.store, sinceMs).map((stored) => ({
    ...outboxLetter(stored),
    state: stored.state,
    lastWord: stored.lastWord,
  }));
}

/** Whether a letter goes to the devices of its person as well. */
export function goesToDevicesToo(books: Books, id: string): boolean {
  return hasCopyBy(books.store, id, 'push');
}

/** Every letter ever written, in order, with how it went. */
export function allLetters(books: Books): readonly WrittenLetter[] {
  const reasons = reasonsByLetter(books.store);
  return everyLetter(books.store).map((stored) => ({
    ...outboxLetter(stored),
    message: stored.id,
    reasons: reasons.get(stored.id) ?? [],
    state: stored.state,
    lastWord: stored.lastWord,
  }));
}

function after(
  letter: StoredLetter,
  delivery: Delivery,
  nowMs: number,
): Pick<LetterMark, 'state' | 'nextTryAtMs' | 'lastWord'> {
  if (delivery.kind === 'delivered') {
    return { state: 'delivered', nextTryAtMs: letter.nextTryAtMs, lastWord: delivery.detail };
  }
  if (delivery.kind === 'refused') {
    return { state: 'refused', nextTryAtMs: letter.nextTryAtMs, lastWord: delivery.reason };
  }
  const lastTryAtMs = letter.writtenAtMs + triesForMs;
  const step = backoffMs[Math.min(letter.attempts, backoffMs.length - 1)] ?? longestWaitMs;
  // Never sooner than by itself: a server that names no wait at all would be asked every minute for days.
  const wanted =
    delivery.afterMs !== null && Number.isFinite(delivery.afterMs) ? Math.max(step, delivery.afterMs) : step;
  return {
    state: 'pending',
    nextTryAtMs: Math.min(nowMs + Math.min(Math.floor(wanted), longestWaitMs), lastTryAtMs),
    lastWord: delivery.reason,
  };
}

function outboxLetter(letter: StoredLetter): OutboxLetter {
  const { id, messageId, to, channel, writtenAtMs, attempts, nextTryAtMs, inReplyTo, references, copyOf } = letter;
  return {
    id,
    messageId,
    to,
    channel,
    letter: letter.letter,
    writtenAtMs,
    attempts,
    nextTryAtMs,
    inReplyTo,
    references,
    copyOf,
  };
}
