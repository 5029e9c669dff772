import {
  addMailEnded,
  countMailTakenBack,
  type MailEnded,
  standingMailEnds,
  takeBackMailEnded,
} from '../store/facts/mail-ended.js';
import type { Books } from './books.js';
import { makePermit, readPermit } from './permit.js';

/** Days a link that ends the mail stays good: people clean up letters of years ago. */
const linkDays = 3 * 366;

/** What a link that ends the mail of one person comes to. */
export type EndingMail =
  /** Good, and mail goes to this person so far. */
  | { readonly kind: 'open'; readonly person: string }
  /** Good, and no mail goes to this person any more. */
  | { readonly kind: 'ended'; readonly person: string }
  /** Genuine, but from a letter before the mail was taken up again: that was asked for since. */
  | { readonly kind: 'spent'; readonly person: string }
  /** Genuine, but of somebody who is told from the start: only household.yaml changes that. */
  | { readonly kind: 'of-the-household'; readonly person: string }
  | { readonly kind: 'expired' }
  | { readonly kind: 'forged' };

/** The token of a link that ends the mail of one person and does nothing else. It is good until the mail is taken up again:
 *  letters after that bear another. */
export function mailEndToken(books: Books, person: string): string {
  return makePermit(books, { scope: 'no-mail', subject: roundOf(books, person), person, days: linkDays });
}

/** What a link would come to; changes nothing. */
export function readMailEnd(books: Books, token: string): EndingMail {
  const permit = readPermit(books, token);
  if (permit.kind === 'forged' || permit.scope !== 'no-mail') return { kind: 'forged' };
  const { person } = permit;
  const known = books.home().household.people.find((one) => one.id === person);
  if (known === undefined) return { kind: 'forged' };
  if (permit.kind === 'expired') return { kind: 'expired' };
  if (permit.subject !== roundOf(books, person)) return { kind: 'spent', person };
  if (wantsNoMail(books, person)) return { kind: 'ended', person };
  return { kind: known.secondAfterDays === undefined ? 'of-the-household' : 'open', person };
}

/** Ends the mail that a link speaks of. The same link twice is one wish; a link that is not good changes nothing.
 *  @returns what the link came to, `ended` where no mail goes any more */
export function endMail(books: Books, token: string): EndingMail {
  return books.store.mark(() => {
    const ending = readMailEnd(books, token);
    if (ending.kind !== 'open') return ending;
    addMailEnded(books.store, { person: ending.person, atMs: books.clock.nowMs() });
    return { kind: 'ended', person: ending.person };
  });
}

/** Mail goes to this person again. Where it never ended, nothing changes. */
export function takeUpMail(books: Books, person: string): void {
  books.store.mark(() => takeBackMailEnded(books.store, person, books.clock.nowMs()));
}

/** Who asked for no more mail, and since when; those who left the household too. */
export function mailEnds(books: Books): readonly MailEnded[] {
  return standingMailEnds(books.store);
}

/** Whether a person asked for no more mail. */
export function wantsNoMail(books: Books, person: string): boolean {
  return standingMailEnds(books.store).some((one) => one.person === person);
}

function roundOf(books: Books, person: string): string {
  return `mail-${countMailTakenBack(books.store, person) + 1}`;
}
