import type { RequestHandler } from 'express';
import type { Household } from '../../domain/household.js';
import { sendPlain } from './plain.js';

/** Names under which this service answers: a page of a stranger that makes its own name point here gets nothing.
 *  Ports are not compared, since a stranger cannot gain by them. */
function allowedHosts(household: Household): ReadonlySet<string> {
  const hosts = new Set(['localhost', '127.0.0.1', '[::1]']);
  const listening = household.http.host.toLowerCase();
  if (!['0.0.0.0', '::', '[::]'].includes(listening))
    hosts.add(listening.includes(':') ? bracketed(listening) : listening);
  if (household.address !== undefined && URL.canParse(household.address)) {
    hosts.add(new URL(household.address).hostname.toLowerCase());
  }
  return hosts;
}

/** Refuses a Host that is not ours with 421 before anything else looks at the request. */
export function guardHost(household: () => Household, port: number): RequestHandler {
  return (request, response, next) => {
    const host = hostName(request.headers.host);
    if (host !== null && allowedHosts(household()).has(host)) return next();
    sendPlain(
      response,
      421,
      `This service does not answer under that name. If it is yours, write it as address: in household.yaml, such as address: http://shed.local:${port}`,
    );
  };
}

/** The name of a Host header without its port, or null where it is missing or no host at all. */
function hostName(header: string | undefined): string | null {
  if (header === undefined || header.length > 255 || !/^(\[[0-9a-f:.]+\]|[a-z0-9.-]+)(:\d{1,5})?$/i.test(header))
    return null;
  return header.replace(/:\d{1,5}$/, '').toLowerCase();
}

function bracketed(address: string): string {
  return address.startsWith('[') ? address : `[${address}]`;
}
