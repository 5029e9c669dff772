import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { simpleParser } from 'mailparser';
import { describe, expect, test } from 'vitest';
import { fileChannel } from '../../src/channels/file.js';
import type { Envelope } from '../../src/domain/results/envelope.js';
import { waitingLetters } from '../../src/ledger/outbox.js';
import { postLetters } from '../../src/ledger/post.js';
import { envelope } from '../stage/channel-suite.js';
import { stageBooks, stagedHome, stageLetter, stageNotice, stageOutlook, stageVisit } from '../stage/ledger-books.js';

/** RFC 5322 section 3.2.3: dot-atom-text. */
const dotAtom = "[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+(?:\\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*";
/** RFC 5322 section 3.6.4: msg-id, without the obsolete forms and white space. */
const messageId = new RegExp(`^<${dotAtom}@(?:${dotAtom}|\\[[!-Z^-~]*\\])>$`);
/** RFC 5322 section 3.3: date-time with a numeric zone, without comments. */
const dateTime =
  /^(?:(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun), )?\d{1,2} (?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec) \d{4} \d{2}:\d{2}(?::\d{2})? [+-]\d{4}$/;

test.each([
  ['<1234@local.machine.example>', true],
  ['<a.b+c@example.org>', true],
  ['<x@[IPv6:2001:db8::1]>', true],
  ['1234@example.org', false],
  ['<12 34@example.org>', false],
  ['<noat>', false],
  ['<a..b@example.org>', false],
  ['<.a@example.org>', false],
])('the grammar used below takes %s for a Message-ID: %s', (id, isOne) => {
  expect(messageId.test(id)).toBe(isOne);
});

interface Mail {
  readonly raw: string;
  readonly octets: Buffer;
  /** Unfolded fields in their order. */
  readonly fields: readonly (readonly [string, string])[];
}

/** RFC 5322 section 2.2: fields up to the first empty line; a line that begins with white space continues the one before. */
function read(octets: Buffer): Mail {
  const raw = octets.toString('utf8');
  const head = raw.slice(0, raw.indexOf('\r\n\r\n')).replace(/\r\n(?=[ \t])/g, '');
  const fields = head.split('\r\n').map((line) => {
    const [, name = '', value = ''] = /^([!-9;-~]+): ?(.*)$/.exec(line) ?? [];
    return [name.toLowerCase(), value] as const;
  });
  return { raw, octets, fields };
}

const value = (mail: Mail, name: string) => mail.fields.find(([field]) => field === name)?.[1] ?? '';

describe('the letters that the service keeps as .eml files, against RFC 5322', () => {
  test('every line ends in CRLF, none is longer than 998 octets, none has a bare CR or LF (2.1.1, 2.3)', async () => {
    const { mails } = await keptLetters();
    expect(mails).toHaveLength(3);
    for (const { raw, octets } of mails) {
      expect(raw.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
      expect(octets.subarray(-2).toString()).toBe('\r\n');
      for (const line of raw.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(998);
    }
  });

  test('the header is ASCII, its lines at most 78 characters wherever they can be folded (2.1.1, 2.2.3)', async () => {
    const { mails } = await keptLetters();
    for (const { raw } of mails) {
      const head = raw.slice(0, raw.indexOf('\r\n\r\n'));
      expect(head).toMatch(/^[\t\r\n -~]*$/);
      for (const line of head.split('\r\n'))
        if (line.length > 78) expect(line.trim().split(': ').at(-1)).not.toContain(' ');
    }
  });

  test('no field stands there more often than it may, and the two required ones are there (3.6)', async () => {
    const { mails } = await keptLetters();
    const once = [
      'date',
      'from',
      'sender',
      'reply-to',
      'to',
      'cc',
      'bcc',
      'message-id',
      'in-reply-to',
      'references',
      'subject',
    ];
    for (const { fields } of mails) {
      for (const [name] of fields) expect(name).not.toBe('');
      for (const name of once) expect(fields.filter(([field]) => field === name).length).toBeLessThanOrEqual(1);
      for (const name of ['date', 'from', 'to', 'message-id', 'subject', 'mime-version']) {
        expect(fields.map(([field]) => field)).toContain(name);
      }
    }
  });

  test('the Date is a date-time of the moment it was written, with its weekday right (3.3)', async () => {
    const { mails, sent } = await keptLetters();
    for (const [i, mail] of mails.entries()) {
      const date = value(mail, 'date');
      expect(date).toMatch(dateTime);
      expect(Date.parse(date)).toBe(Math.floor((sent[i]?.writtenAtMs ?? 0) / 1000) * 1000);
      const weekday = new Intl.DateTimeFormat('en', { weekday: 'short', timeZone: 'UTC' }).format(Date.parse(date));
      expect([date.slice(0, 4), date.slice(-5)]).toEqual([`${weekday},`, '+0000']);
    }
  });

  test('a Message-ID is one msg-id, and no two letters share it (3.6.4)', async () => {
    const { mails } = await keptLetters();
    const ids = mails.map((mail) => value(mail, 'message-id'));
    for (const id of ids) expect(id).toMatch(messageId);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test('the second letter about a visit answers the first: In-Reply-To and References name it (3.6.4)', async () => {
    const { mails } = await keptLetters();
    const [first, second] = mails;
    if (first === undefined || second === undefined) throw new Error('two letters are missing');
    expect(value(first, 'in-reply-to')).toBe('');
    expect(value(first, 'references')).toBe('');
    expect(value(second, 'in-reply-to')).toBe(value(first, 'message-id'));
    expect(value(second, 'references').split(/\s+/)).toEqual([value(first, 'message-id')]);
  });

  // Independent: mailparser. RFC 2047 section 2: an encoded word is at most 75 characters.
  test('another parser reads names and subjects as they were meant, from encoded words of at most 75 characters', async () => {
    const { mails, sent } = await keptLetters();
    for (const [i, { octets, raw }] of mails.entries()) {
      const mail = await simpleParser(octets);
      expect(mail.subject).toBe(sent[i]?.letter.subject.trim());
      expect(mail.messageId).toBe(sent[i]?.messageId);
      const to = Array.isArray(mail.to) ? mail.to[0] : mail.to;
      expect(to?.value.map((one) => one.name)).toEqual([sent[i]?.to.name]);
      for (const [word] of raw.matchAll(/=\?[^?\s]+\?[BQbq]\?[^?\s]*\?=/g)) expect(word.length).toBeLessThanOrEqual(75);
    }
  });

  // Source: RFC 2045 section 6.7 (quoted-printable, lines of at most 76) and RFC 2046 section 5.1.4 (alternative, plainest first).
  test('the body offers plain text first and HTML second', async () => {
    const { mails } = await keptLetters();
    for (const mail of mails) {
      expect(value(mail, 'content-type')).toMatch(/^multipart\/alternative;/);
      const kinds = [...mail.raw.matchAll(/^Content-Type: (text\/\w+)/gm)].map(([, kind]) => kind);
      expect(kinds).toEqual(['text/plain', 'text/html']);
      const body = mail.raw.slice(mail.raw.indexOf('\r\n\r\n'));
      for (const line of body.split('\r\n')) expect(line.length).toBeLessThanOrEqual(78);
    }
  });
});

/** The real way: two notices of one visit posted to the outbox, and a letter with a name and a subject beyond ASCII. */
async function keptLetters(): Promise<{ readonly mails: readonly Mail[]; readonly sent: readonly Envelope[] }> {
  const folder = mkdtempSync(join(tmpdir(), 'letters-'));
  try {
    const letter = { subject: `Mähwerk: ${'Öl ½ L 🛢️, '.repeat(30)}`, lead: `${'Ça va — '.repeat(300)}.`, blocks: [] };
    const zoe = { id: 'zoe', name: `Zoë 李 ${'é'.repeat(80)}`, mail: 'zoe@example.org' };
    const sent = [...postTwo(), envelope({ letter, to: zoe })];
    const mails: Mail[] = [];
    for (const one of sent) {
      const delivery = await fileChannel(folder, stagedHome.household).deliver(one);
      if (delivery.kind !== 'delivered') throw new Error('a letter was not written');
      mails.push(read(readFileSync(join(folder, delivery.detail))));
    }
    return { mails, sent };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Two letters about one visit, from the outbox. */
function postTwo(): Envelope[] {
  const books = stageBooks();
  const visit = stageVisit('meadow-mower-engine-oil-1', ['engine-oil']);
  const outlook = stageOutlook(books, [visit]);
  postLetters(books, outlook, [stageLetter(stageNotice(visit, { kind: 'parts' }))]);
  books.setNow('2031-04-11T18:30');
  postLetters(books, outlook, [stageLetter(stageNotice(visit))]);
  return waitingLetters(books).map((one) => {
    const to = stagedHome.household.people.find((person) => person.id === one.to);
    if (to === undefined) throw new Error('the letter is for nobody');
    return { ...one, to };
  });
}
