import type { Household } from './household.js';

/** Where other devices reach the pages, without a slash at its end; null where the household set no address. */
export function addressElsewhere({ address }: Pick<Household, 'address'>): string | null {
  return address?.replace(/\/+$/, '') ?? null;
}

/** Where the pages are reached: by the household's address, else on this computer only.
 *  @param port  on which they are open */
export function pageAddress(household: Pick<Household, 'address'>, port: number): string {
  return addressElsewhere(household) ?? `http://localhost:${port}`;
}
