import { isIP } from 'node:net';
import type { Household } from '../domain/household.js';

/** Whether links in messages open on a phone, in plain sentences: never empty, the first says the outcome.
 *  Looks at the configuration only; a firewall or router is beyond it. */
export function sayReach({ address, http }: Pick<Household, 'address' | 'http'>): string[] {
  const listensHere = isLoopback(http.host);
  if (address === undefined) {
    return [
      `Links in messages open on this computer only (http://localhost:${http.port}): household.yaml has no address:.`,
      `For a phone on your network add a line such as address: http://NAME-OF-THIS-COMPUTER:${http.port}`,
    ];
  }
  const url = new URL(address);
  if (isLoopback(url.hostname)) {
    return [
      `Links in messages open on this computer only: address: names this computer itself (${address}).`,
      `For a phone on your network write the name or number by which other devices reach this computer, such as http://shed.local:${http.port}`,
    ];
  }
  if (listensHere) {
    return [
      `Links in messages will not open on a phone: address: is ${address}, but http: host: is ${http.host}, which only this computer can reach.`,
      'Write host: 0.0.0.0, or take the line out. If a proxy on this computer passes requests on, all is well.',
      ...askedThroughProxy(http),
    ];
  }
  const port = url.port === '' ? (url.protocol === 'https:' ? 443 : 80) : Number(url.port);
  if (port !== http.port) {
    const cause = url.port === '' ? 'has no port' : `has port ${url.port}`;
    return [
      `Links in messages will probably not open on a phone: address: ${address} ${cause}, but the page listens on port ${http.port}.`,
      `Write address: ${url.protocol}//${url.hostname}:${http.port}, unless a proxy or router passes port ${port} on.`,
      ...askedThroughProxy(http),
    ];
  }
  if (url.protocol === 'https:') {
    return [
      `Links in messages will probably not open on a phone: address: begins with https, but the page itself speaks http.`,
      `Write address: http://${url.host}, unless a proxy adds https.`,
      ...askedThroughProxy(http),
    ];
  }
  return [
    `Links in messages open at ${address} on every device of your network that reaches this computer by that name.`,
  ];
}

/** Whom a proxy on this computer lets in unasked, where there is likely to be one. */
function askedThroughProxy({ askHere }: Household['http']): string[] {
  return askHere === true
    ? ['Whoever comes through a proxy is asked for the password, and so is this computer itself (http: askHere).']
    : [
        'A proxy on this computer has to send X-Forwarded-For. Where it does not, write http: { askHere: true }: otherwise whoever comes through it counts as this computer and is asked for no password.',
      ];
}

/** Whether a host name or address means the computer itself. */
export function isLoopback(host: string): boolean {
  const bare = host.replace(/^\[|\]$/g, '').toLowerCase();
  if (isIP(bare) === 4) return bare.startsWith('127.');
  if (isIP(bare) === 6) return bare === '::1';
  return bare === 'localhost' || bare.endsWith('.localhost');
}
