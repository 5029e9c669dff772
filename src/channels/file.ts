import { createHash } from 'node:crypto';
import { mkdir, open, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Readable } from 'node:stream';
import { createTransport } from 'nodemailer';
import { dayOf } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import type { Household } from '../domain/household.js';
import type { Envelope } from '../domain/results/envelope.js';
import type { Channel } from './channel.js';
import { composeMail } from './compose.js';

/** Characters of the subject that a file name carries. */
const longestSlug = 60;

/** The way out that needs no set-up: each letter is one .eml file that any mail program opens. Written beside its name and
 *  then renamed, so that a reader never sees half a letter; the same letter again overwrites itself, byte for byte.
 *  @param folder     made when missing
 *  @param household  its name is the sender's, its time zone gives the day in the file name
 *  Source: RFC 5322 for what is in the file. */
export function fileChannel(folder: string, household: Pick<Household, 'name' | 'zone'>): Channel {
  return {
    kind: 'file',
    async deliver(envelope) {
      const name = fileNameOf(envelope, household);
      try {
        const { message } = await createTransport({ streamTransport: true, buffer: true, newline: 'windows' }).sendMail(
          composeMail(envelope, household, null),
        );
        await mkdir(folder, { recursive: true });
        await writeWhole(join(folder, name), await bytesOf(message));
        return { kind: 'delivered', detail: name };
      } catch (failure) {
        if (failure instanceof Fault) return { kind: 'refused', reason: failure.line };
        const why = failure instanceof Error ? failure.message : 'no reason was given';
        return { kind: 'try-later', reason: `The letter could not be written: ${why}`, afterMs: null };
      }
    },
  };
}

/** `2027-03-21-hill-tractor-change-engine-oil-sat-22-march-1f2e3d4c5b.eml`: the day it was written, its subject (machine,
 *  job, day) in safe characters, and a digest of its id, so that two letters never share a name. */
function fileNameOf(envelope: Envelope, household: Pick<Household, 'zone'>): string {
  const day = dayOf(envelope.writtenAtMs, household.zone);
  const slug = envelope.letter.subject
    .normalize('NFKD')
    .toLowerCase()
    .replace(/\p{M}/gu, '')
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, longestSlug)
    .replace(/^-|-$/g, '');
  const digest = createHash('sha256').update(envelope.id).digest('hex').slice(0, 10);
  return `${[day, slug, digest].filter((part) => part !== '').join('-')}.eml`;
}

async function bytesOf(message: Buffer | Readable): Promise<Buffer> {
  if (Buffer.isBuffer(message)) return message;
  const pieces: Buffer[] = [];
  for await (const piece of message) pieces.push(Buffer.from(piece));
  return Buffer.concat(pieces);
}

async function writeWhole(path: string, content: Buffer): Promise<void> {
  const halfway = `${path}.part`;
  try {
    const file = await open(halfway, 'w', 0o600);
    try {
      await file.writeFile(content);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(halfway, path);
  } catch (failure) {
    await rm(halfway, { force: true });
    throw failure;
  }
}
