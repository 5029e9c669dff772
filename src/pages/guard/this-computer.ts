import { isIP } from 'node:net';
import type { Request } from 'express';
import type { Household } from '../../domain/household.js';

/** Whoever passes a request on says so in one of these. */
const proxyHeaders = ['forwarded', 'via', 'x-forwarded-for', 'x-forwarded-host', 'x-forwarded-proto', 'x-real-ip'];

/** Whether a request was made on this computer itself, under its own name, and the household asks nobody for a password there.
 *  What a proxy passes on is not: it bears a header of a proxy, the name of the page elsewhere, or HTTP/1.0, which proxies speak
 *  and browsers do not. One that bears none of these looks like this computer, which is what `http: askHere` is for. */
export function isTrustedHere(request: Request, { http }: Pick<Household, 'http'>): boolean {
  return (
    http.askHere !== true &&
    isLoopbackAddress(request.socket.remoteAddress ?? '') &&
    !proxyHeaders.some((name) => request.headers[name] !== undefined) &&
    request.httpVersion !== '1.0' &&
    /^(localhost|127\.0\.0\.1|\[::1\])(:\d+)?$/i.test(request.headers.host ?? '')
  );
}

/** Whether a proxy that household.yaml trusts says who is signed in. From any other address the same header says nothing. */
export function isVouchedFor(request: Request, household: Household): boolean {
  const { proxy } = household.http;
  if (proxy === undefined) return false;
  const from = plainAddress(request.socket.remoteAddress ?? '');
  const user = request.headers[proxy.userHeader.toLowerCase()];
  return (
    proxy.addresses.some((address) => plainAddress(address) === from) && typeof user === 'string' && user.trim() !== ''
  );
}

/** Who asks. Of what a proxy on this computer or one of household.yaml passes on, the address that it wrote last into
 *  X-Forwarded-For: all that stands before it is what somebody claims. From anybody else the header says nothing. */
export function askingAddress(request: Request, { http }: Pick<Household, 'http'>): string {
  const from = plainAddress(request.socket.remoteAddress ?? '');
  const isProxy =
    isLoopbackAddress(from) || (http.proxy?.addresses ?? []).some((address) => plainAddress(address) === from);
  const forwarded = [request.headers['x-forwarded-for'] ?? []].flat().join(',').split(',').at(-1)?.trim() ?? '';
  return isProxy && isIP(forwarded) !== 0 ? plainAddress(forwarded) : from;
}

/** IPv4 as it is written, also where the socket is an IPv6 one. */
function plainAddress(address: string): string {
  return address.toLowerCase().replace(/^::ffff:/, '');
}

function isLoopbackAddress(address: string): boolean {
  return address === '::1' || plainAddress(address).startsWith('127.');
}
