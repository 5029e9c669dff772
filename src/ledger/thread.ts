import type { Notice } from '../domain/results/notice.js';
import { noticesIn } from '../store/facts/notices.js';
import { type EarlierLetter, lettersAbout, lettersOfTrouble } from '../store/facts/outbox.js';
import type { Books } from './books.js';

/** What a letter is an answer to, for its headers. */
export interface Follows {
  readonly inReplyTo: string | null;
  readonly references: readonly string[];
}

type Lead = Pick<Notice, 'kind' | 'visit' | 'tasks' | 'to'>;

/** Which earlier letter to the same person one follows. The notice that leads a letter decides, whatever else it tells: the newest letter
 *  that the same visit (or trouble) led; before the first of them, the newest that mentioned the visit.
 *  Source: RFC 5322 section 3.6.4. */
export function followsWhat(books: Books, lead: Lead | undefined): Follows {
  const told = toldOf(books, lead);
  const led = told.findLast((letter) => letter.isLead);
  if (led !== undefined) return { inReplyTo: led.messageId, references: [...led.references, led.messageId] };
  const mention = told.at(-1)?.messageId;
  return mention === undefined ? { inReplyTo: null, references: [] } : { inReplyTo: mention, references: [mention] };
}

/** The mark of what mainly a letter is about: the same for all letters to a person that one visit (or trouble) leads. Of two such letters
 *  the later one may take the place of the earlier one; it must not of one that tells of something else first.
 *  @param message  the letter of the notices, not a copy that goes another way
 *  @returns the Message-ID of the first of them; null where the letter stands for itself */
export function threadOf(books: Books, message: string): string | null {
  const [lead] = noticesIn(books.store, message);
  return toldOf(books, lead).find((letter) => letter.isLead)?.messageId ?? null;
}

function toldOf({ store }: Books, lead: Lead | undefined): readonly EarlierLetter[] {
  if (lead === undefined) return [];
  if (lead.visit !== null) return lettersAbout(store, lead.visit, lead.to);
  if (lead.kind !== 'trouble') return [];
  return lettersOfTrouble(store, lead.to).filter(({ tasks }) => tasks.some((key) => lead.tasks.includes(key)));
}
