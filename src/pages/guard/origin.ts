import type { RequestHandler } from 'express';
import { isOneClick } from './one-click.js';
import { sendPlain } from './plain.js';

/** Lets a POST through only where it comes from a page of this service: another site's form carries its own Origin.
 *  No Origin at all is believed only where Sec-Fetch-Site is absent too, as with a script or an old browser; the form
 *  key, which a stranger cannot read, is required either way. */
export const guardOrigin: RequestHandler = (request, response, next) => {
  if (request.method === 'GET' || request.method === 'HEAD') return next();
  if (request.method !== 'POST') return sendPlain(response, 405, 'This service knows GET and POST only.');
  // A mail provider posts it from its own computers; the signed token in the path is the right to do that one thing.
  if (isOneClick(request.path)) return next();
  const site = request.headers['sec-fetch-site'];
  const origin = request.headers.origin;
  const isOwnSite = site === undefined || site === 'same-origin';
  const isOwnOrigin = origin === undefined ? site === undefined : isSameOrigin(origin, request.headers.host);
  if (isOwnSite && isOwnOrigin) return next();
  sendPlain(
    response,
    403,
    'This form was sent from another site, so nothing was changed. Open the page here and send it again.',
  );
};

function isSameOrigin(origin: string, host: string | undefined): boolean {
  return URL.canParse(origin) && host !== undefined && new URL(origin).host === host.toLowerCase();
}
