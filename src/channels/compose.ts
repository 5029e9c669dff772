import { createHash } from 'node:crypto';
import type { SendMailOptions } from 'nodemailer';
import type { Household, Person } from '../domain/household.js';
import type { Envelope } from '../domain/results/envelope.js';
import { oneLine } from '../words/sentence.js';
import { channelFault } from './errors.js';
import { writeLetterHtml } from './letter-html.js';
import { writeLetterText } from './letter-text.js';
import { drawPng } from './picture-png.js';

/** One plain address: no blanks, brackets, commas, quotes, colons or control characters, so that it can never become two.
 *  Stricter than RFC 5321 section 4.1.2 on purpose. */
const addressShape = /^[^\s<>()[\]@,;:"\\\p{Cc}]+@[^\s<>()[\]@,;:"\\\p{Cc}]+$/u;
/** Longest address. Source: RFC 5321 section 4.5.3.1.3, a path of 256 with its brackets. */
const longestAddress = 254;
const messageIdShape = /^<[^\s<>@\p{Cc}]+@[^\s<>@\p{Cc}]+>$/u;

/** Stands in where no address is set, so that a letter kept as a file is still a whole one. Source: RFC 2606 section 2. */
const nowhere = 'household.invalid';

/** A letter with its headers, ready for the mail library; the same envelope gives the same bytes.
 *  @param from  sender's address, alone or as `Name <address>`; null: a letter that is only kept as a file
 *  @throws Fault address-unusable, message-id-unusable: a name or address that could add a header or a recipient
 *  Source: RFC 5322 section 3.6 (Date, From, Message-ID, In-Reply-To, References), RFC 3834 section 5 (Auto-Submitted), RFC 2369 section 3.2 (List-Unsubscribe), RFC 8058 (one click). */
export function composeMail(envelope: Envelope, household: Pick<Household, 'name'>, from: string | null) {
  const sender = readSender(from ?? `shedbell@${nowhere}`, household.name);
  const { letter } = envelope;
  const threading = envelope.inReplyTo === null ? {} : { inReplyTo: readMessageId(envelope.inReplyTo) };
  const references = envelope.references.length === 0 ? {} : { references: envelope.references.map(readMessageId) };
  const picture = pictureOf(envelope);
  return {
    from: sender,
    to: recipientOf(envelope.to, from === null),
    subject: oneLine(letter.subject),
    messageId: readMessageId(envelope.messageId),
    ...threading,
    ...references,
    date: new Date(envelope.writtenAtMs),
    text: writeLetterText(letter),
    html: writeLetterHtml(letter, picture === null ? null : { cid: picture.cid, alt: picture.alt }),
    ...(picture === null ? {} : { attachments: [picture.attachment] }),
    headers: {
      'Auto-Submitted': 'auto-generated',
      ...(from === null || envelope.to.secondAfterDays === undefined ? {} : wayOut(envelope, sender.address)),
    },
    baseBoundary: digestOf(envelope.messageId),
    disableFileAccess: true,
    disableUrlAccess: true,
  } satisfies SendMailOptions & { baseBoundary: string };
}

/** How somebody who is told only after others asks for no more: by one click, where their mail provider can reach this service, and by
 *  a letter to the sender's account, which a person of the household reads and acts upon. The address of the click stands first,
 *  on a line of its own, because it is preferred. Providers believe the click only where the household's mail server signs both headers.
 *  Source: RFC 2369 section 3.2; RFC 6068 (mailto); RFC 8058 sections 3.1 and 4. */
function wayOut({ to, endsMailUrl }: Envelope, sender: string) {
  const subject = encodeURIComponent(`No more letters to ${headerName(to.name)}, please`);
  const address = sender.split('@').map(encodeURIComponent).join('@');
  const byMail = `<mailto:${address}?subject=${subject}>`;
  if (endsMailUrl === undefined) return { 'List-Unsubscribe': { prepared: true, value: byMail } };
  return {
    'List-Unsubscribe': { prepared: true, value: `<${new URL(endsMailUrl).href}>,\r\n ${byMail}` },
    'List-Unsubscribe-Post': 'List-Unsubscribe=One-Click',
  };
}

/** The picture as a part that the page names by its Content-ID; nothing is fetched for it.
 *  Source: RFC 2392 (cid), RFC 2387 (multipart/related), RFC 2183 (inline). */
function pictureOf({ letter, messageId }: Envelope) {
  if (letter.picture === undefined) return null;
  const cid = `hours-${digestOf(messageId)}@${nowhere}`;
  const attachment = {
    filename: 'hours.png',
    content: drawPng(letter.picture.svg),
    contentType: 'image/png',
    contentDisposition: 'inline',
    cid,
  } as const;
  return { cid, alt: oneLine(letter.picture.alt), attachment };
}

function digestOf(messageId: string): string {
  return createHash('sha256').update(messageId).digest('hex').slice(0, 16);
}

function recipientOf(person: Person, mayBeNowhere: boolean): { readonly name: string; readonly address: string } {
  const name = headerName(person.name);
  if (person.mail === undefined && mayBeNowhere)
    return { name, address: `${person.id.replace(/[^a-z0-9-]/gi, '-')}@${nowhere}` };
  return { name, address: readAddress(person.mail ?? '', `the mail address of ${name}`) };
}

function readSender(from: string, householdName: string): { readonly name: string; readonly address: string } {
  const parts = /^([^<>]*)<([^<>]*)>$/.exec(from.trim());
  if (parts === null)
    return { name: headerName(householdName), address: readAddress(from.trim(), 'the sender address') };
  const name = headerName((parts[1] ?? '').replaceAll('"', ''));
  return {
    name: name === '' ? headerName(householdName) : name,
    address: readAddress((parts[2] ?? '').trim(), 'the sender address'),
  };
}

/** A name on one line, without what could close a name and begin an address. */
function headerName(name: string): string {
  return oneLine(name.replace(/[<>"\\]/g, ' '));
}

function readAddress(address: string, whose: string): string {
  if (addressShape.test(address) && address.length <= longestAddress) return address;
  throw channelFault('address-unusable', {
    message: address === '' ? `There is no value for ${whose}` : `This cannot be used as ${whose}`,
    found: address === '' ? undefined : JSON.stringify(address.slice(0, 60)),
    remedy: 'Write one address, such as anna@example.org.',
    retry: 'after-fix',
  });
}

function readMessageId(id: string): string {
  if (messageIdShape.test(id)) return id;
  throw channelFault('message-id-unusable', {
    message: 'A Message-ID is malformed',
    found: JSON.stringify(id.slice(0, 60)),
  });
}
