import { createHash } from 'node:crypto';
import type { Envelope } from '../domain/results/envelope.js';
import { oneLine } from '../words/sentence.js';

/** Push services must take 4096 bytes of encrypted body; some take less once it is encrypted, so this stays well below.
 *  Source: RFC 8030 section 7.2, RFC 8291 section 4. */
export const mostBytes = 2800;
const longestTitle = 200;
const longestUrl = 1000;

/** What a device shows: title, text, where a tap leads, and a mark by which a later word about the same visit takes its place.
 *  As JSON of at most `mostBytes` bytes; what is longer is cut at a letter, never within one. */
export function pushPayload(envelope: Envelope): string {
  const { letter } = envelope;
  const main = letter.blocks.find((block) => block.kind === 'link' && block.main);
  const url = main?.kind === 'link' && main.url.length <= longestUrl ? main.url : '/';
  const said = { title: cut(oneLine(letter.subject), longestTitle), url, tag: pushTopic(envelope) };
  const whole = oneLine(letter.lead);
  const room = mostBytes - Buffer.byteLength(JSON.stringify({ ...said, body: '' }));
  return JSON.stringify({ ...said, body: cut(whole, room) });
}

/** The mark of what a letter is about: the same for all letters that may take each other's place, 32 letters of base64url.
 *  Source: RFC 8030 section 5.4 (Topic). */
export function pushTopic(envelope: Pick<Envelope, 'messageId' | 'thread'>): string {
  const root = envelope.thread ?? envelope.messageId;
  return createHash('sha256').update(root).digest().subarray(0, 24).toString('base64url');
}

/** As much of a text as fits into so many bytes of JSON. */
function cut(text: string, bytes: number): string {
  const sizeOf = (part: string) => Buffer.byteLength(JSON.stringify(part)) - 2;
  if (sizeOf(text) <= bytes) return text;
  const letters = [...text];
  let room = bytes - sizeOf('…');
  let end = 0;
  for (const letter of letters) {
    room -= sizeOf(letter);
    if (room < 0) break;
    end += 1;
  }
  return `${letters.slice(0, end).join('').trimEnd()}…`;
}
