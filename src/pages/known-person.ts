import type { Shown } from './shown.js';

/** Only people of the household stand in the books by id. */
export function knownPerson(id: string | null, { household }: Shown): string | null {
  return household.people.some((person) => person.id === id) ? id : null;
}
