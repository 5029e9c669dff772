import { closeSync, fsyncSync, openSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import webPush from 'web-push';
import type { Household } from '../domain/household.js';
import { isPublicName } from '../domain/public-name.js';
import { channelFault } from './errors.js';

/** By what push services know this service again. Browsers tie their subscription to the public one, so the pair is kept for good. */
export interface PushKeys {
  /** 65 bytes as base64url. */
  readonly publicKey: string;
  /** 32 bytes as base64url. */
  readonly privateKey: string;
}

/** Where the pair is kept, below the data folder. */
export const pushKeysFile = 'push-keys.json';

const lengths = { publicKey: 87, privateKey: 43 } as const;

/** The pair in `folder`/push-keys.json, made at the first asking; only the owner of the service may read the file.
 *  @throws Fault push-keys-unreadable where the file is there and holds something else: a new pair would cut off every device
 *  Source: RFC 8292 section 2 (an ECDSA pair on P-256). */
export function pushKeysIn(folder: string): PushKeys {
  const file = join(folder, pushKeysFile);
  try {
    const fresh = webPush.generateVAPIDKeys();
    // Whoever comes first makes it; everybody else reads it.
    const handle = openSync(file, 'wx', 0o600);
    try {
      writeFileSync(handle, `${JSON.stringify(fresh)}\n`);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    return fresh;
  } catch (failure) {
    if (!isThere(failure)) throw failure;
  }
  let held: unknown;
  try {
    held = JSON.parse(readFileSync(file, 'utf8'));
  } catch {
    held = null;
  }
  const text = (name: keyof PushKeys) => {
    const value: unknown = typeof held === 'object' && held !== null ? Reflect.get(held, name) : null;
    if (typeof value === 'string' && new RegExp(`^[A-Za-z0-9_-]{${lengths[name]}}$`).test(value)) return value;
    throw channelFault('push-keys-unreadable', {
      message: 'The keys of push messages cannot be read',
      place: file,
      remedy: 'Put the file back from a backup, or delete it: then every device has to ask for messages again.',
      retry: 'after-fix',
    });
  };
  return { publicKey: text('publicKey'), privateKey: text('privateKey') };
}

/** Whom a push service may write to about this service: the sender of its mail, its own address where that is on the internet, or
 *  the first person with a mail address. Push services refuse what is of one network only.
 *  @returns null where the household has none of these: then push does not work
 *  Source: RFC 8292 section 2.1 (a mailto or https URI). */
export function pushContact(household: Pick<Household, 'smtp' | 'address' | 'people'>): string | null {
  const mails = [household.smtp?.from, ...household.people.map((person) => person.mail)].flatMap((mail) => {
    const bare = /<([^<>]*)>\s*$/.exec(mail ?? '')?.[1] ?? mail ?? '';
    return isPublicName(bare.split('@')[1] ?? '') ? [`mailto:${bare.trim()}`] : [];
  });
  const [mail] = mails;
  if (mail !== undefined) return mail;
  if (household.address === undefined || !URL.canParse(household.address)) return null;
  const { protocol, hostname, origin } = new URL(household.address);
  return protocol === 'https:' && isPublicName(hostname) ? origin : null;
}

function isThere(failure: unknown): boolean {
  return failure instanceof Error && Reflect.get(failure, 'code') === 'EEXIST';
}
