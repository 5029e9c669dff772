import { simpleParser } from 'mailparser';
import { createTransport } from 'nodemailer';
import { expect, test } from 'vitest';
import { context, home, notice } from '../../tests/stage/letter-scene.js';
import type { Envelope } from '../domain/results/envelope.js';
import { writeLetter } from '../words/letter.js';
import { composeMail } from './compose.js';
import { drawPng } from './picture-png.js';

const svg =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 364 288" width="364" height="288"><rect width="364" height="288" fill="#faf7ef"/><text x="9" y="40" font-family="DejaVu Sans">Hours</text></svg>';
const alt = 'Hours of the hill tractor over time: now about "386" h.';
const [person] = home.household.people;
if (person === undefined) throw new Error('the scene has a person');
const envelope: Envelope = {
  id: 'letter-1',
  messageId: '<letter-1@shed.example>',
  to: person,
  letter: { ...writeLetter({ to: 'marta', notices: [notice('work')] }, context()), picture: { svg, alt } },
  writtenAtMs: 1_932_000_000_000,
  inReplyTo: null,
  references: [],
};

async function bytesOf(one: Envelope): Promise<Buffer> {
  const made = createTransport({ streamTransport: true, buffer: true, newline: 'windows' });
  const { message } = await made.sendMail(composeMail(one, home.household, 'shed@example.org'));
  if (!Buffer.isBuffer(message)) throw new Error('asked for a buffer');
  return message;
}

test('the picture travels in the mail under a Content-ID that the page names, with its words as text alternative', async () => {
  const mail = await simpleParser(await bytesOf(envelope), { skipImageLinks: true });
  const [picture] = mail.attachments;
  expect(mail.attachments).toHaveLength(1);
  expect(picture).toMatchObject({ contentType: 'image/png', contentDisposition: 'inline', related: true });
  expect(mail.html).toContain(`src="cid:${picture?.cid}"`);
  expect(mail.html).toContain('alt="Hours of the hill tractor over time: now about &quot;386&quot; h."');
  // Source: W3C PNG specification (third edition), 5.2: the signature.
  expect(picture?.content.subarray(0, 8).toString('hex')).toBe('89504e470d0a1a0a');
  expect(mail.text).toContain('Change engine oil and filter');
});

test('the same envelope twice is the same letter, byte for byte', async () => {
  expect((await bytesOf(envelope)).equals(await bytesOf({ ...envelope }))).toBe(true);
});

test('letters are drawn with the face that comes along: words leave ink on the paper', () => {
  const blank = drawPng(svg.replace('>Hours<', '><'));
  expect(drawPng(svg).equals(blank)).toBe(false);
  expect(drawPng(svg).readUInt32BE(16)).toBe(728);
});

test('a letter without a picture names none', async () => {
  const { picture: _none, ...letter } = envelope.letter;
  expect((await bytesOf({ ...envelope, letter })).toString()).not.toMatch(/cid:|image\/png/);
});
