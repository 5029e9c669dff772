import express, { type Request, type RequestHandler } from 'express';

/** What a mail provider posts, and nothing else is taken for it. Source: RFC 8058 section 3.1. */
export const oneClick = { name: 'List-Unsubscribe', value: 'One-Click' } as const;

/** Whether a path is that of the links which end somebody's mail; exactly those may be posted to from anywhere. */
export function isOneClick(path: string): boolean {
  return /^\/m\/[^/]+$/i.test(path);
}

const readMultipart = express.text({ type: 'multipart/form-data', limit: '4kb' });

/** Reads the body of such a post where it comes as multipart, which providers may choose as well as a form's usual encoding. */
export const readOneClick: RequestHandler = (request, response, next) => {
  if (request.method !== 'POST' || !request.is('multipart/form-data')) return next();
  readMultipart(request, response, next);
};

/** Whether a post holds the one pair that ends the mail, in either encoding, and nothing but that.
 *  Source: RFC 8058 section 3.2 (either encoding), RFC 7578 section 4.2 (a part's name), from memory. */
export function isOneClickBody(request: Request): boolean {
  const body: unknown = request.body;
  if (typeof body === 'string') return isOnePart(body);
  if (typeof body !== 'object' || body === null) return false;
  const pairs = Object.entries(body);
  return pairs.length === 1 && pairs[0]?.[0] === oneClick.name && pairs[0][1] === oneClick.value;
}

/** One part of that name and value between its boundaries. */
function isOnePart(body: string): boolean {
  const found = /^(?:\r\n)?--([^\r\n]{1,70})\r\n((?:[!-9;-~]+:[^\r\n]*\r\n)+)\r\n([^\r\n]*)\r\n--([^\r\n]+)--\s*$/.exec(
    body,
  );
  if (found === null || found[1] !== found[4]) return false;
  const isNamed = /^content-disposition:\s*form-data;\s*name="?List-Unsubscribe"?\s*$/im.test(found[2] ?? '');
  return isNamed && found[3] === oneClick.value;
}
