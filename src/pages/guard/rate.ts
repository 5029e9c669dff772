import type { Request, RequestHandler } from 'express';
import { ipKeyGenerator, rateLimit } from 'express-rate-limit';
import type { Household } from '../../domain/household.js';
import { sendPlain } from './plain.js';
import { askingAddress } from './this-computer.js';

/** Requests a minute from one address, far above what a household taps, and below what guessing links would need. */
const perMinute = { all: 600, changes: 60, openSheet: 300, links: 120 };

function limitTo(limit: number, skip: (request: Request) => boolean): RequestHandler {
  return rateLimit({
    windowMs: 60_000,
    limit,
    standardHeaders: 'draft-8',
    legacyHeaders: false,
    skip,
    // No proxy is trusted, so a forwarded address is neither used nor worth a warning.
    validate: { xForwardedForHeader: false, forwardedHeader: false },
    handler: (_request, response) =>
      sendPlain(response, 429, 'Too many requests from here within one minute. Wait a minute and try again.'),
  });
}

/** Requests of any kind from one address, a minute. */
export function limitAll(): RequestHandler {
  return limitTo(perMinute.all, () => false);
}

/** Posts from one address, a minute. What an open sheet sends by itself has its own limit. */
export function limitChanges(): RequestHandler {
  return limitTo(perMinute.changes, (request) => request.method !== 'POST' || isOfOpenSheet(request));
}

/** What open sheets send by themselves from one address, a minute: two posts a tap, of several quick hands, so that they never use
 *  up what writing the work down needs. */
export function limitOpenSheets(): RequestHandler {
  return limitTo(perMinute.openSheet, (request) => request.method !== 'POST' || !isOfOpenSheet(request));
}

function isOfOpenSheet({ path }: Request): boolean {
  return /^\/visits\/[^/]+\/(?:verdicts|marks)\/?$/i.test(path);
}

/** Openings of links from one address, a minute: nobody finds one by trying. */
export function limitLinks(): RequestHandler {
  return limitTo(perMinute.links, () => false);
}

/** Tries at the password from one device: a person mistypes a few times, a guesser gets nowhere. */
const tries = 10;
/** Tries through one proxy: of a household that signs in anew after a new password, and no way around the limit for somebody who
 *  names another device each time where the proxy does not see to it. */
const triesThroughProxy = 60;

/** Tries at the password from one device, and from all behind one proxy.
 *  @param household  which proxies there are */
export function limitSignIn(household: () => Pick<Household, 'http'>): readonly RequestHandler[] {
  const limitTries = (limit: number, keyOf: (request: Request) => string) =>
    rateLimit({
      windowMs: 15 * 60_000,
      limit,
      standardHeaders: 'draft-8',
      legacyHeaders: false,
      keyGenerator: (request) => ipKeyGenerator(keyOf(request)),
      validate: { xForwardedForHeader: false, forwardedHeader: false },
      handler: (_request, response) =>
        sendPlain(response, 429, 'Too many tries from here. Wait a quarter of an hour and try again.'),
    });
  return [
    limitTries(tries, (request) => askingAddress(request, household())),
    limitTries(triesThroughProxy, (request) => request.socket.remoteAddress ?? ''),
  ];
}
