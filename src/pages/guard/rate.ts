import type { RequestHandler } from 'express';
import { rateLimit } from 'express-rate-limit';
import { sendPlain } from './plain.js';

/** Requests a minute from one address, far above what a household taps, and below what guessing links would need. */
const perMinute = { all: 600, changes: 60, links: 120 };

function limitTo(limit: number, skip: (method: string) => boolean): RequestHandler {
  return rateLimit({
    windowMs: 60_000,
    limit,
    standardHeaders: 'draft-8',
    legacyHeaders: false,
    skip: (request) => skip(request.method),
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

/** Posts from one address, a minute. */
export function limitChanges(): RequestHandler {
  return limitTo(perMinute.changes, (method) => method !== 'POST');
}

/** Openings of links from one address, a minute: nobody finds one by trying. */
export function limitLinks(): RequestHandler {
  return limitTo(perMinute.links, () => false);
}

/** Tries at the password from one address: a person mistypes a few times, a guesser gets nowhere. */
export function limitSignIn(): RequestHandler {
  return rateLimit({
    windowMs: 15 * 60_000,
    limit: 10,
    standardHeaders: 'draft-8',
    legacyHeaders: false,
    validate: { xForwardedForHeader: false, forwardedHeader: false },
    handler: (_request, response) =>
      sendPlain(response, 429, 'Too many tries from here. Wait a quarter of an hour and try again.'),
  });
}
