import type { Person } from '../domain/household.js';
import { addressFromOutside, pageAddress } from '../domain/page-address.js';
import type { Books } from '../ledger/books.js';
import { mailEndToken } from '../ledger/mail-ended.js';
import { makePermit } from '../ledger/permit.js';
import type { LinkMaker } from '../words/letter.js';

/** Days a confirm or reading link stays good: a visit may well be confirmed a season late. */
const linkDays = 180;

/** Makes the links of messages: signed where a tap can change something.
 *  @param port on which the page is open; null: as configured */
export function makeLinks(books: Books, port: number | null = null): LinkMaker {
  const household = books.home().household;
  const base = pageAddress(household, port ?? household.http.port);
  return {
    visit: (visit, person) =>
      `${base}/v/${makePermit(books, { scope: 'visit', subject: visit, person, days: linkDays })}`,
    sheet: (visit) => `${base}/visits/${encodeURIComponent(visit)}/sheet`,
    reading: (machine, person) =>
      `${base}/r/${makePermit(books, { scope: 'reading', subject: machine, person, days: linkDays })}`,
    page: () => `${base}/`,
    opensElsewhere: household.address !== undefined,
  };
}

/** The address by which one click ends the mail to somebody who is told only after others; nothing for the people told from the
 *  start, and nothing where a mail provider cannot reach this service. */
export function endsMail(books: Books, person: Person): { readonly endsMailUrl?: string } {
  const base = addressFromOutside(books.home().household);
  if (base === null || person.secondAfterDays === undefined) return {};
  return { endsMailUrl: `${base}/m/${mailEndToken(books, person.id)}` };
}
