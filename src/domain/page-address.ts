import type { Household } from './household.js';
import { isPublicName } from './public-name.js';

/** Where other devices reach the pages, without a slash at its end; null where the household set no address. */
export function addressElsewhere({ address }: Pick<Household, 'address'>): string | null {
  return address?.replace(/\/+$/, '') ?? null;
}

/** Where the pages are reached: by the household's address, else on this computer only.
 *  @param port  on which they are open */
export function pageAddress(household: Pick<Household, 'address'>, port: number): string {
  return addressElsewhere(household) ?? `http://localhost:${port}`;
}

/** Where a stranger's computer, such as that of a mail provider, reaches the pages: an https address under a name of the internet
 *  at large. Whether it truly answers there, only a try from outside would tell.
 *  @returns without a slash at its end; null where the address is of this network only, or not https, or not set */
export function addressFromOutside(household: Pick<Household, 'address'>): string | null {
  const address = addressElsewhere(household);
  if (address === null || !URL.canParse(address)) return null;
  const { protocol, hostname } = new URL(address);
  return protocol === 'https:' && isPublicName(hostname) ? address : null;
}
