import { lookup } from 'node:dns';
import { Agent } from 'node:https';
import { BlockList, isIPv6, type LookupFunction } from 'node:net';
import webPush from 'web-push';
import type { Log } from '../domain/outside.js';
import { type PushDevice, whySubscriptionUnfit } from '../domain/push-device.js';
import type { Delivery, Envelope } from '../domain/results/envelope.js';
import { oneLine } from '../words/sentence.js';
import type { Channel } from './channel.js';
import type { PushKeys } from './push-keys.js';
import { pushPayload, pushTopic } from './push-payload.js';

/** How a push service answered for one device. */
export type PushAnswer =
  | { readonly kind: 'taken' }
  /** The browser is gone for good, or does not want to be told any more. */
  | { readonly kind: 'gone' }
  | { readonly kind: 'refused'; readonly reason: string }
  | { readonly kind: 'later'; readonly reason: string; readonly afterMs: number | null };

/** The devices, kept by somebody else. */
export interface PushBook {
  /** Those of one person. */
  devices(person: string): readonly PushDevice[];
  /** Ids of the devices that have this letter already. */
  taken(letter: string): readonly string[];
  note(letter: string, device: PushDevice, answer: PushAnswer): void;
}

/** What tests set otherwise, because their push service stands on this computer. */
export interface PushLimits {
  /** For one device, from the first byte to the last. */
  readonly answerMs: number;
  /** PEM of a further authority; null: the well-known ones. */
  readonly trustedPem: string | null;
  /** Why a device must not be called; null where it may. */
  readonly whyUnfit: (device: PushDevice) => string | null;
  readonly lookup: LookupFunction;
}

const usualLimits: PushLimits = {
  answerMs: 20_000,
  trustedPem: null,
  whyUnfit: whySubscriptionUnfit,
  lookup: publicLookup,
};

/** How long a push service keeps a message for a device that is off, in seconds: over a night, not until it is stale. */
export const keepSeconds = 20 * 3600;

/** The way out by Web Push: to each device of the person, each told once; those that could not be reached are tried again.
 *  @param contact  whom a push service may write to: a mailto or https URI
 *  Source: RFC 8030 (TTL, Urgency, Topic), RFC 8291 (encryption), RFC 8292 (who we are). */
export function pushChannel(
  keys: PushKeys,
  contact: string,
  book: PushBook,
  log: Log,
  limits: PushLimits = usualLimits,
): Channel {
  return {
    kind: 'push',
    async deliver(envelope) {
      const devices = book.devices(envelope.to.id);
      const have = new Set(book.taken(envelope.id));
      const answers: PushAnswer[] = [];
      for (const device of devices) {
        if (have.has(device.id)) continue;
        const answer = await callDevice(device, envelope, { keys, contact, limits });
        book.note(envelope.id, device, answer);
        answers.push(answer);
        if (answer.kind !== 'taken')
          log.warn({ letter: envelope.id, device: device.id, answer: answer.kind }, 'a device was not told');
      }
      return sumUp(envelope, devices.length, answers);
    },
  };
}

async function callDevice(
  device: PushDevice,
  envelope: Envelope,
  how: { readonly keys: PushKeys; readonly contact: string; readonly limits: PushLimits },
): Promise<PushAnswer> {
  const { keys, contact, limits } = how;
  const unfit = limits.whyUnfit(device);
  if (unfit !== null) return { kind: 'refused', reason: unfit };
  // An agent of its own: destroyed, it ends whatever hangs or dribbles.
  const agent = new Agent({
    lookup: limits.lookup,
    ...(limits.trustedPem === null ? {} : { ca: [limits.trustedPem] }),
  });
  let timer: NodeJS.Timeout | undefined;
  const tooLate = new Promise<never>((_resolve, reject) => {
    timer = setTimeout(() => reject(new Error('it did not answer in time')), limits.answerMs);
  });
  try {
    const sending = webPush.sendNotification(
      { endpoint: device.endpoint, keys: { p256dh: device.p256dh, auth: device.auth } },
      pushPayload(envelope),
      {
        vapidDetails: { subject: contact, ...keys },
        TTL: keepSeconds,
        urgency: 'normal',
        topic: pushTopic(envelope),
        contentEncoding: 'aes128gcm',
        timeout: limits.answerMs,
        agent,
      },
    );
    // What comes too late is nobody's any more.
    sending.catch(() => undefined);
    await Promise.race([sending, tooLate]);
    return { kind: 'taken' };
  } catch (failure) {
    return readPushFailure(failure);
  } finally {
    clearTimeout(timer);
    agent.destroy();
  }
}

/** What a failed attempt means: 404 and 410 say that the device is gone; 429 names its pace; what is broken on the other side (5xx, the
 *  network) may mend itself; any other answer is about what we sent, so the device stays and is not tried again with this letter.
 *  @param failure  what the push library threw
 *  Source: RFC 8030 sections 7.3 (404, 410) and 8.4 (429), RFC 9110 section 10.2.3 (Retry-After). */
function readPushFailure(failure: unknown): PushAnswer {
  const status = fieldOf(failure, 'statusCode');
  if (typeof status !== 'number') {
    const why = failure instanceof Error ? failure.message : 'no reason was given';
    return { kind: 'later', reason: `The push service could not be reached: ${shortened(why)}`, afterMs: null };
  }
  if (status === 404 || status === 410) return { kind: 'gone' };
  const said = `The push service answered ${status}${wordsIn(failure)}`;
  if (status === 429 || status === 408 || status >= 500)
    return { kind: 'later', reason: said, afterMs: retryAfterMs(fieldOf(failure, 'headers')) };
  return { kind: 'refused', reason: said };
}

function sumUp(envelope: Envelope, known: number, answers: readonly PushAnswer[]): Delivery {
  const later = answers.flatMap((answer) => (answer.kind === 'later' ? [answer] : []));
  const refused = answers.flatMap((answer) => (answer.kind === 'refused' ? [answer.reason] : []));
  const gone = answers.filter((answer) => answer.kind === 'gone').length;
  const have = known - gone - later.length - refused.length;
  const count = `${have} of ${known} ${known === 1 ? 'device' : 'devices'}`;
  const [first] = later;
  if (first !== undefined) {
    const waits = later.flatMap(({ afterMs }) => (afterMs === null ? [] : [afterMs]));
    const reason = have === 0 ? first.reason : `${count} told so far. ${first.reason}`;
    return { kind: 'try-later', reason, afterMs: waits.length === 0 ? null : Math.max(...waits) };
  }
  if (have > 0) return { kind: 'delivered', detail: `${count} told` };
  const [reason] = refused;
  return {
    kind: 'refused',
    reason:
      reason ?? `No device of ${oneLine(envelope.to.name)} takes messages any more; ask for them again on the page`,
  };
}

function fieldOf(value: unknown, name: string): unknown {
  return typeof value === 'object' && value !== null ? Reflect.get(value, name) : undefined;
}

function wordsIn(failure: unknown): string {
  const body = fieldOf(failure, 'body');
  const said = typeof body === 'string' ? shortened(body) : '';
  return said === '' ? '' : `: ${said}`;
}

function shortened(text: string): string {
  const line = oneLine(text.slice(0, 400));
  return line.length > 160 ? `${line.slice(0, 160)}…` : line;
}

/** The wait that a server names, in seconds or as a date. A date is held against the server's own, because this computer's clock may
 *  be another; without that it says nothing. Null where there is none or it cannot be read. */
function retryAfterMs(headers: unknown): number | null {
  const value = textIn(headers, 'retry-after');
  if (/^\d{1,7}$/.test(value)) return Number(value) * 1000;
  const waitMs = httpDate(value) - httpDate(textIn(headers, 'date'));
  return Number.isFinite(waitMs) && waitMs >= 0 ? waitMs : null;
}

/** UTC milliseconds; NaN for anything else. Source: RFC 9110 section 5.6.7 (IMF-fixdate). */
function httpDate(text: string): number {
  return /^[A-Z][a-z]{2}, \d{2} [A-Z][a-z]{2} \d{4} \d{2}:\d{2}:\d{2} GMT$/.test(text) ? Date.parse(text) : Number.NaN;
}

function textIn(headers: unknown, name: string): string {
  const value = fieldOf(headers, name);
  return typeof value === 'string' ? value.trim() : '';
}

/** Addresses that are of this computer or of the network it stands in. Source: RFC 6890, RFC 4193, RFC 6598. */
const inner = new BlockList();
for (const [net, bits] of [
  ['0.0.0.0', 8],
  ['10.0.0.0', 8],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
  ['169.254.0.0', 16],
  ['172.16.0.0', 12],
  ['192.0.0.0', 24],
  ['192.168.0.0', 16],
  ['198.18.0.0', 15],
  ['224.0.0.0', 3],
] as const)
  inner.addSubnet(net, bits, 'ipv4');
for (const [net, bits] of [
  ['::', 96],
  ['fc00::', 7],
  ['fe80::', 10],
  ['ff00::', 8],
] as const)
  inner.addSubnet(net, bits, 'ipv6');

/** Whether an address is of this computer or of the network it stands in. */
export function isInnerAddress(address: string): boolean {
  // IPv4 within IPv6 (::ffff:a.b.c.d) is checked as IPv4 by the list itself.
  return inner.check(address, isIPv6(address) ? 'ipv6' : 'ipv4');
}

/** As the system looks names up, but a name that leads into the own network leads nowhere. */
function publicLookup(...[host, options, answer]: Parameters<LookupFunction>): void {
  lookup(host, { ...options, all: true }, (failure, found) => {
    const outer = failure === null ? found.filter(({ address }) => !isInnerAddress(address)) : [];
    const [first] = outer;
    if (failure !== null) return answer(failure, '', 0);
    if (first === undefined) {
      const why: NodeJS.ErrnoException = new Error('its name leads into the own network');
      return answer(why, '', 0);
    }
    if (options.all) return answer(null, outer);
    answer(null, first.address, first.family);
  });
}
