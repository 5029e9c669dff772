import { simpleParser } from 'mailparser';
import { createTransport } from 'nodemailer';
import { expect, test } from 'vitest';
import { context, home, notice } from '../../tests/stage/letter-scene.js';
import type { Person } from '../domain/household.js';
import type { Envelope } from '../domain/results/envelope.js';
import { writeLetter } from '../words/letter.js';
import { composeMail } from './compose.js';

const first: Person = { id: 'marta', name: 'Marta', mail: 'marta@example.org' };
const second: Person = { id: 'joao', name: 'João', mail: 'joao@example.org', secondAfterDays: 14 };

async function rawTo(to: Person, from = 'shed@example.org', more: Partial<Envelope> = {}): Promise<Buffer> {
  const envelope: Envelope = {
    id: 'letter-1',
    messageId: '<letter-1@shed.example>',
    to,
    letter: writeLetter({ to: to.id, notices: [notice('late')] }, context()),
    writtenAtMs: 1_932_000_000_000,
    inReplyTo: null,
    references: [],
    ...more,
  };
  const made = createTransport({ streamTransport: true, buffer: true, newline: 'windows' });
  const { message } = await made.sendMail(composeMail(envelope, home.household, from));
  if (!Buffer.isBuffer(message)) throw new Error('asked for a buffer');
  return message;
}

const linesOf = (raw: Buffer) => raw.toString('latin1').split('\r\n\r\n', 1)[0] ?? '';

// RFC 2369 section 2: one address in angle brackets, no white space within; section 3.2: List-Unsubscribe, mailto among the schemes.
test('whoever is told only after others finds in each letter how to ask for no more', async () => {
  const raw = await rawTo(second);
  const list = listOf(await simpleParser(raw));
  expect(list).toBe('mailto:shed@example.org?subject=No%20more%20letters%20to%20Jo%C3%A3o%2C%20please');
  // RFC 6068 section 2: header values of a mailto are percent-encoded UTF-8.
  expect(new URL(list).searchParams.get('subject')).toBe('No more letters to João, please');
  expect(linesOf(raw).replace(/\r\n(?=[ \t])/g, '')).toMatch(/^List-Unsubscribe: <mailto:[!-;=?-~]+>$/m);
});

test('it goes to the bare address of the sender, whatever name stands beside it', async () => {
  const raw = await rawTo(second, 'The shed <the+shed@example.org>');
  expect(listOf(await simpleParser(raw))).toMatch(/^mailto:the%2Bshed@example\.org\?/);
});

// RFC 8058 section 3.1: List-Unsubscribe-Post stands only beside an https address.
test('one click is not promised where only mail is offered', async () => {
  expect(linesOf(await rawTo(second))).not.toMatch(/List-Unsubscribe-Post/i);
});

// RFC 8058 section 3.1: exactly one https address, and List-Unsubscribe-Post with exactly this pair; RFC 2369 section 2: commas between.
test('with an address that providers can reach, one click stands before the letter', async () => {
  const raw = await rawTo(second, 'shed@example.org', {
    endsMailUrl: `https://shed.example.org/m/${'Ab3-_'.repeat(30)}`,
  });
  const unfolded = linesOf(raw).replace(/\r\n(?=[ \t])/g, '');
  const [, https, mailto] = /^List-Unsubscribe: <(https:[^<>\s]+)>, <(mailto:[^<>\s]+)>$/m.exec(unfolded) ?? [];
  expect(https).toBe(`https://shed.example.org/m/${'Ab3-_'.repeat(30)}`);
  expect(mailto).toMatch(/^mailto:shed@example\.org\?subject=No%20more/);
  expect(unfolded.match(/^List-Unsubscribe-Post:.*$/gm)).toEqual(['List-Unsubscribe-Post: List-Unsubscribe=One-Click']);
  expect(unfolded.match(/^List-Unsubscribe:/gm)).toHaveLength(1);
  // RFC 5322 section 2.1.1: no line above 998 characters.
  for (const line of raw.toString('latin1').split('\r\n')) expect(line.length).toBeLessThanOrEqual(998);
  const list = (await simpleParser(raw)).headers.get('list');
  expect(list).toMatchObject({ unsubscribe: { url: https, mail: expect.stringContaining('shed@example.org') } });
});

test('the people of the household are no list', async () => {
  expect(linesOf(await rawTo(first))).not.toMatch(/List-Unsubscribe/i);
  const more = { endsMailUrl: 'https://shed.example.org/m/x' };
  expect(linesOf(await rawTo(first, 'shed@example.org', more))).not.toMatch(/List-Unsubscribe/i);
});

test('a name with a line break adds no header and no second address', async () => {
  const raw = await rawTo({ ...second, name: 'Eve>\r\nBcc: all@example.org, <mailto:x@example.org' });
  expect(linesOf(raw)).not.toMatch(/^Bcc:/im);
  expect(listOf(await simpleParser(raw))).toMatch(/^mailto:shed@example\.org\?subject=[A-Za-z0-9%._-]+$/);
});

/** What stands between the angle brackets of List-Unsubscribe. */
function listOf(mail: Awaited<ReturnType<typeof simpleParser>>): string {
  const line = mail.headerLines.find(({ key }) => key === 'list-unsubscribe')?.line ?? '';
  return /<(.*)>/.exec(line.replace(/\r\n(?=[ \t])/g, ''))?.[1] ?? '';
}
