import type { Request, Response } from 'express';

/** How many cookies of one name are looked at. */
const mostOfOneName = 8;

/** The values of all cookies of a name, in their order. A browser sends several where another program of the same computer, on another
 *  port, set one of that name: cookies know no ports, and such a one must lock nobody out. Only what we set ourselves is looked
 *  for: base64url.
 *  Source: RFC 6265 sections 5.4 (order) and 8.5 (no isolation by port). */
export function cookiesOf(request: Request, name: string): readonly string[] {
  const values: string[] = [];
  for (const part of (request.headers.cookie ?? '').slice(0, 8000).split(';')) {
    const at = part.indexOf('=');
    if (at > 0 && part.slice(0, at).trim() === name) {
      const value = part.slice(at + 1).trim();
      if (/^[A-Za-z0-9_-]{20,100}$/.test(value)) values.push(value);
    }
  }
  return values.slice(0, mostOfOneName);
}

/** Sets a cookie that no script reads and no other site's form sends; Secure where the browser came over https.
 *  @param value null takes it away */
export function setCookie(
  request: Request,
  response: Response,
  cookie: { readonly name: string; readonly value: string | null; readonly path: string; readonly maxAgeMs: number },
): void {
  response.cookie(cookie.name, cookie.value ?? '', {
    httpOnly: true,
    sameSite: 'lax',
    secure: isOverHttps(request),
    path: cookie.path,
    maxAge: cookie.value === null ? 0 : cookie.maxAgeMs,
  });
}

/** The form's own Origin, which was held against the Host before, says how the browser reached us; a proxy may say so too, and
 *  whoever lies there only keeps the cookie from themselves. */
function isOverHttps(request: Request): boolean {
  const { origin, 'x-forwarded-proto': proto } = request.headers;
  return request.secure || origin?.startsWith('https:') === true || proto === 'https';
}
