import type { Facts } from '../domain/facts.js';
import type { Log } from '../domain/outside.js';
import type { Letter } from '../domain/results/letter.js';
import type { Message } from '../domain/results/notice.js';
import type { Outlook } from '../domain/results/outlook.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Books } from '../ledger/books.js';
import { postLetters } from '../ledger/post.js';
import { sheetOf } from '../outlook/sheet-of.js';
import { writeLetter } from '../words/letter.js';
import type { Latest } from './latest.js';
import { withPicture } from './letter-picture.js';
import { makeLinks } from './links.js';

/** What one turn did and when the next is wanted. */
export interface Turn {
  readonly outlook: Outlook;
  /** Letters written to the outbox. */
  readonly posted: number;
  readonly nextLookMs: number;
}

/** One turn of the service: gather the facts, look ahead, write what is to be said into the outbox.
 *  Decides nothing itself; taken twice at the same moment it posts nothing new, because decisions rest on facts.
 *  @param port on which the page is open; null: as configured */
export function takeTurn(books: Books, latest: Latest, log: Log, port: number | null = null): Turn {
  const outlook = latest.look();
  const letters = outlook.messages.map((message) => ({
    message,
    letter: letterFor(books, latest.facts(), outlook, message, port),
  }));
  const posted = postLetters(books, outlook, letters).letters;
  for (const id of posted) log.info({ letter: id }, 'a message was written');
  return { outlook, posted: posted.length, nextLookMs: outlook.nextLookMs };
}

function letterFor(books: Books, facts: Facts, outlook: Outlook, message: Message, port: number | null): Letter {
  const home = books.home();
  const sheets = new Map<string, Sheet>();
  for (const notice of message.notices) {
    const visit = outlook.visits.find((v) => v.id === notice.visit);
    const sheet = visit === undefined ? null : sheetOf(home, facts, visit);
    if (visit !== undefined && sheet !== null) sheets.set(visit.id, sheet);
  }
  const context = { home, outlook, sheets, links: makeLinks(books, port) };
  return withPicture(writeLetter(message, context), message, context, facts);
}
