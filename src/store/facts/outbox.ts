import type { ChannelKind } from '../../domain/household.js';
import type { Letter } from '../../domain/results/letter.js';
import type { Store } from '../open.js';
import { json, number, text, textOrNull, texts, word } from '../row.js';
import type { Row } from '../sql.js';

const channels = ['mail', 'push', 'topic', 'file'] as const satisfies readonly ChannelKind[];
const states = ['pending', 'sending', 'delivered', 'refused', 'unknown'] as const;
const endings = ['given-up', 'withdrawn'] as const;

/** `unknown`: the program died twice while sending it; it may or may not have arrived. `withdrawn`: it was not sent, because what it
 *  says was no longer true. */
export type LetterState = (typeof states)[number] | 'withdrawn';

export interface StoredLetter {
  readonly id: string;
  readonly messageId: string;
  readonly to: string;
  readonly channel: ChannelKind;
  readonly letter: Letter;
  readonly writtenAtMs: number;
  readonly inReplyTo: string | null;
  readonly references: readonly string[];
  /** The letter that carries the notices, where this is the same by a further way; else null. */
  readonly copyOf: string | null;
  readonly state: LetterState;
  readonly sender: string | null;
  readonly crashes: number;
  readonly attempts: number;
  readonly nextTryAtMs: number;
  readonly lastWord: string | null;
}

/** Puts a letter into the outbox, to be sent at once.
 *  @throws Fault of the store where the id is taken */
export function addLetter(
  store: Store,
  letter: Omit<StoredLetter, 'state' | 'sender' | 'crashes' | 'attempts' | 'nextTryAtMs' | 'lastWord'>,
): void {
  store.sql.run(
    `INSERT INTO outbox (id, message_id, to_person, channel, letter, written_at_ms, in_reply_to, earlier, copy_of, state, crashes, attempts, next_try_at_ms)
     VALUES (:id, :messageId, :to, :channel, :letter, :writtenAtMs, :inReplyTo, :earlier, :copyOf, 'pending', 0, 0, :writtenAtMs)`,
    {
      id: letter.id,
      messageId: letter.messageId,
      to: letter.to,
      channel: letter.channel,
      letter: JSON.stringify(letter.letter),
      writtenAtMs: letter.writtenAtMs,
      inReplyTo: letter.inReplyTo,
      earlier: JSON.stringify(letter.references),
      copyOf: letter.copyOf,
    },
  );
}

/** A letter, sent or not; null where there is none of that id. */
export function findLetter(store: Store, id: string): StoredLetter | null {
  const row = store.sql.row('SELECT * FROM outbox WHERE id = :id', { id });
  return row === null ? null : letterOf(row);
}

/** Pending ones whose time has come, and those that another opening of the store left in the middle of sending.
 *  @param aheadMs  no letter is put off beyond this instant: one that was, under a clock that ran ahead, is due */
export function dueLetters(store: Store, nowMs: number, aheadMs: number): readonly StoredLetter[] {
  return store.sql
    .rows(
      `SELECT * FROM outbox
       WHERE (state = 'pending' AND (next_try_at_ms <= :nowMs OR next_try_at_ms > :aheadMs)) OR (state = 'sending' AND sender IS NOT :session)
       ORDER BY written_at_ms, rowid`,
      { nowMs, aheadMs, session: store.session },
    )
    .map(letterOf);
}

/** Every letter that waits, whatever its next attempt; none that may have gone out already. */
export function pendingLetters(store: Store): readonly StoredLetter[] {
  return store.sql
    .rows("SELECT * FROM outbox WHERE state = 'pending' AND crashes = 0 ORDER BY written_at_ms, rowid")
    .map(letterOf);
}

/** A letter that was refused for good while what it says still counts as said. */
export interface RefusedLetter {
  readonly id: string;
  readonly writtenAtMs: number;
  readonly lastWord: string | null;
  /** Letters to the same person by the same way that were refused one after another up to this one, itself included. */
  readonly inARow: number;
  /** Whether a later letter to the same person went out by the same way. */
  readonly isOpenAgain: boolean;
}

/** Letters refused for good whose words count as said, in order. */
export function refusedLetters(store: Store): readonly RefusedLetter[] {
  return store.sql
    .rows(
      `SELECT id, written_at_ms, last_word,
         (SELECT count(*) FROM outbox AS other
          WHERE other.to_person = refused.to_person AND other.channel = refused.channel
            AND other.state = 'refused' AND other.never_sent IS NOT 'withdrawn' AND other.written_at_ms <= refused.written_at_ms
            AND other.written_at_ms > coalesce(
              (SELECT max(written_at_ms) FROM outbox AS good
               WHERE good.to_person = refused.to_person AND good.channel = refused.channel
                 AND good.state = 'delivered' AND good.written_at_ms < refused.written_at_ms), -1)) AS in_a_row,
         EXISTS (SELECT 1 FROM outbox AS good
                 WHERE good.to_person = refused.to_person AND good.channel = refused.channel
                   AND good.state = 'delivered' AND good.written_at_ms > refused.written_at_ms) AS is_open_again
       FROM outbox AS refused WHERE state = 'refused' AND never_sent IS NULL
       ORDER BY written_at_ms, rowid`,
    )
    .map((row) => ({
      id: text(row, 'id'),
      writtenAtMs: number(row, 'written_at_ms'),
      lastWord: textOrNull(row, 'last_word'),
      inARow: number(row, 'in_a_row'),
      isOpenAgain: number(row, 'is_open_again') === 1,
    }));
}

/** Whether a letter also goes out, or went, by a further way. */
export function hasCopyBy(store: Store, id: string, channel: ChannelKind): boolean {
  const found = store.sql.row('SELECT 1 AS found FROM outbox WHERE copy_of = :id AND channel = :channel', {
    id,
    channel,
  });
  return found !== null;
}

/** Letters written since an instant that were refused, or that wait after at least one attempt, in order. */
export function troubledLetters(store: Store, sinceMs: number): readonly StoredLetter[] {
  return store.sql
    .rows(
      `SELECT * FROM outbox
       WHERE written_at_ms >= :sinceMs AND never_sent IS NOT 'withdrawn' AND (state = 'refused' OR (state = 'pending' AND attempts > 0))
       ORDER BY written_at_ms, rowid`,
      { sinceMs },
    )
    .map(letterOf);
}

/** Every letter ever written, in order, with how it went. */
export function everyLetter(store: Store): readonly StoredLetter[] {
  return store.sql.rows('SELECT * FROM outbox ORDER BY written_at_ms, rowid').map(letterOf);
}

/** An earlier letter as a thread sees it. */
export interface EarlierLetter {
  readonly messageId: string;
  readonly references: readonly string[];
  /** The tasks (of a trouble: its keys) of the notice asked for. */
  readonly tasks: readonly string[];
  /** Whether that notice was its first, which leads it. */
  readonly isLead: boolean;
}

/** Earlier letters to this person that tell of this visit, oldest first. */
export function lettersAbout(store: Store, visit: string, to: string): readonly EarlierLetter[] {
  return earlierLetters(store, 'n.visit = :about', to, visit);
}

/** Earlier letters to this person that tell of trouble with the service, oldest first. */
export function lettersOfTrouble(store: Store, to: string): readonly EarlierLetter[] {
  return earlierLetters(store, 'n.machine IS NULL AND n.kind = :about', to, 'trouble');
}

function earlierLetters(store: Store, which: string, to: string, about: string): readonly EarlierLetter[] {
  return store.sql
    .rows(
      `SELECT o.message_id, o.earlier, n.tasks, n.rowid = (SELECT min(rowid) FROM notices WHERE message = o.id) AS is_lead
       FROM notices n JOIN outbox o ON o.id = n.message
       WHERE n.to_person = :to AND ${which}
       ORDER BY o.written_at_ms, o.rowid, n.rowid`,
      { to, about },
    )
    .map((row) => ({
      messageId: text(row, 'message_id'),
      references: texts(row, 'earlier'),
      tasks: texts(row, 'tasks'),
      isLead: number(row, 'is_lead') === 1,
    }));
}

/** Ends a letter that never went out: what it said counts as not said. Inside `write`, because that is a change of the facts. */
export function endUnsent(store: Store, id: string, ending: (typeof endings)[number], lastWord: string): void {
  store.sql.run('UPDATE outbox SET never_sent = :ending WHERE id = :id', { id, ending });
  const letter = findLetter(store, id);
  if (letter !== null) markLetter(store, id, { ...letter, state: 'refused', sender: null, lastWord });
}

export interface LetterMark {
  readonly state: (typeof states)[number];
  readonly sender: string | null;
  readonly crashes: number;
  readonly attempts: number;
  readonly nextTryAtMs: number;
  readonly lastWord: string | null;
}

/** What will not be sent again keeps its words and gives its picture back: one weighs as much as a dozen letters, and all are kept. */
const isOut: Readonly<Record<LetterMark['state'], boolean>> = {
  pending: false,
  sending: false,
  delivered: true,
  refused: true,
  unknown: true,
};

/** Writes down how far the sending of a letter has come. */
export function markLetter(store: Store, id: string, mark: LetterMark): void {
  store.sql.run(
    `UPDATE outbox SET state = :state, sender = :sender, crashes = :crashes, attempts = :attempts,
       next_try_at_ms = :nextTryAtMs, last_word = :lastWord WHERE id = :id`,
    {
      id,
      state: mark.state,
      sender: mark.sender,
      crashes: mark.crashes,
      attempts: mark.attempts,
      nextTryAtMs: mark.nextTryAtMs,
      lastWord: mark.lastWord,
    },
  );
  if (isOut[mark.state]) {
    store.sql.run(
      "UPDATE outbox SET letter = json_remove(letter, '$.picture') WHERE id = :id AND json_type(letter, '$.picture') IS NOT NULL",
      { id },
    );
  }
}

function letterOf(row: Row): StoredLetter {
  return {
    id: text(row, 'id'),
    messageId: text(row, 'message_id'),
    to: text(row, 'to_person'),
    channel: word(row, 'channel', channels),
    // Written by this program from a Letter, in one column.
    letter: json(row, 'letter') as Letter,
    writtenAtMs: number(row, 'written_at_ms'),
    inReplyTo: textOrNull(row, 'in_reply_to'),
    references: texts(row, 'earlier'),
    copyOf: textOrNull(row, 'copy_of'),
    state: row.never_sent === 'withdrawn' ? 'withdrawn' : word(row, 'state', states),
    sender: textOrNull(row, 'sender'),
    crashes: number(row, 'crashes'),
    attempts: number(row, 'attempts'),
    nextTryAtMs: number(row, 'next_try_at_ms'),
    lastWord: textOrNull(row, 'last_word'),
  };
}
