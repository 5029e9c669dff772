import { isPublicName } from './public-name.js';

/** What a browser hands over to be told: where its push service takes messages, and the keys that only it can read them with. */
export interface PushSubscription {
  readonly endpoint: string;
  /** Public key of the browser, base64url. */
  readonly p256dh: string;
  /** Secret shared with the browser, base64url. */
  readonly auth: string;
}

/** A browser on a device that a person wants to be told on. */
export interface PushDevice extends PushSubscription {
  readonly id: string;
  /** Person's id. */
  readonly person: string;
  readonly addedAtMs: number;
  /** Messages in a row that its push service would not take, for reasons that are ours. */
  readonly refusals: number;
  /** What its push service said to the last of them. */
  readonly lastWord: string | null;
}

/** Devices that one person can have; a household has a handful. */
export const mostDevices = 10;
/** Longest address of a push service. Common practice, no source: those in use have under 400 characters. */
const longestEndpoint = 1000;
/** An uncompressed point on P-256 (65 bytes, the first is 4), and 16 bytes. Source: RFC 8291 sections 3.1 and 3.2. */
const keyLengths = { p256dh: 65, auth: 16 } as const;

/** Why a subscription cannot be used, in words; null where it can. A made-up one could make this service call on a device within the
 *  household's own network, so its address must be https and a name on the internet at large.
 *  @returns what is wrong first, as the end of "This device cannot be told: …" */
export function whySubscriptionUnfit({ endpoint, p256dh, auth }: PushSubscription): string | null {
  if (endpoint === '' || endpoint.length > longestEndpoint || !URL.canParse(endpoint))
    return 'the address of its push service is not an address';
  const url = new URL(endpoint);
  if (url.protocol !== 'https:') return 'the address of its push service is not https';
  if (url.username !== '' || url.password !== '') return 'the address of its push service has a user name in it';
  if (url.port !== '') return 'the address of its push service names a port of its own';
  if (!isPublicName(url.hostname)) return 'the address of its push service is not a name on the internet';
  const key = bytesOf(p256dh);
  if (key === null || key.length !== keyLengths.p256dh || key[0] !== 4)
    return 'its public key is not a point of 65 bytes';
  if (bytesOf(auth)?.length !== keyLengths.auth) return 'its secret is not 16 bytes long';
  return null;
}

/** Bytes of a base64url text, padding allowed; null where it is none. */
function bytesOf(text: string): Uint8Array | null {
  if (!/^[A-Za-z0-9_-]{1,200}={0,2}$/.test(text)) return null;
  const bare = text.replace(/=+$/, '');
  if (bare.length % 4 === 1) return null;
  return Uint8Array.from(atob(bare.replaceAll('-', '+').replaceAll('_', '/')), (c) => c.charCodeAt(0));
}
