import { createHash, randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import { readFileSync } from 'node:fs';

/** Cost of one try: 32 MiB and some tenths of a second on a small computer.
 *  Source: RFC 7914; N = 2^15, r = 8, p = 3 is the OWASP Password Storage Cheat Sheet's choice, from memory. */
const cost = { logN: 15, r: 8, p: 3 } as const;
const saltBytes = 16;
const hashBytes = 32;

/** Shortest password that is taken. Common practice, no source. */
export const shortestPassword = 8;
/** Longer ones only cost time. */
export const longestPassword = 200;

/** A password as it is kept: `scrypt 15 8 3 SALT HASH`, the last two in base64url. */
export async function hashPassword(password: string, salt = randomBytes(saltBytes)): Promise<string> {
  const hash = await derive(password, salt, cost.logN, cost.r, cost.p);
  return ['scrypt', cost.logN, cost.r, cost.p, salt.toString('base64url'), hash.toString('base64url')].join(' ');
}

/** Whether a password is the kept one; in the same time wherever it differs. */
export async function isPassword(password: string, kept: string): Promise<boolean> {
  const parts = /^scrypt (\d{1,2}) (\d{1,2}) (\d{1,2}) ([A-Za-z0-9_-]{8,100}) ([A-Za-z0-9_-]{40,50})$/.exec(kept);
  if (parts === null || password.length > longestPassword) return false;
  const [, logN, r, p, salt = '', hash = ''] = parts;
  // A file that asks for gigabytes is no password of ours.
  if (Number(logN) > 17 || Number(logN) < 10 || Number(r) > 16 || Number(p) > 8) return false;
  const wanted = Buffer.from(hash, 'base64url');
  const found = await derive(password, Buffer.from(salt, 'base64url'), Number(logN), Number(r), Number(p));
  return wanted.length === found.length && timingSafeEqual(wanted, found);
}

/** The kept line of the password file, or null where no password is set. */
export function keptPassword(file: string | undefined): string | null {
  if (file === undefined) return null;
  try {
    const line = readFileSync(file, 'utf8').trim();
    return line === '' ? null : line;
  } catch {
    return null;
  }
}

/** Names a kept password without telling it: sessions begun with another one open nothing more. */
export function markOf(kept: string): string {
  return `pages ${createHash('sha256').update(kept).digest('base64url').slice(0, 16)}`;
}

/** The same word typed on two keyboards is the same. */
function derive(password: string, salt: Buffer, logN: number, r: number, p: number): Promise<Buffer> {
  const options = { N: 2 ** logN, r, p, maxmem: 256 * 2 ** logN * r };
  return new Promise((done, fail) => {
    scrypt(password.normalize('NFC'), salt, hashBytes, options, (error, key) =>
      error === null ? done(key) : fail(error),
    );
  });
}
