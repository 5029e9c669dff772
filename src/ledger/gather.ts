import type { Facts } from '../domain/facts.js';
import { householdNotices } from '../store/facts/notices.js';
import type { Books } from './books.js';
import { factsOf } from './machine-facts.js';

/** All facts of the household at one moment, for the machines in the home folder and in their order. */
export function gather(books: Books): Facts {
  const { household, machines } = books.home();
  const { store } = books;
  return store.read(() => ({
    version: store.dataVersion(),
    machines: factsOf(
      store,
      machines.map((m) => m.id),
      household.zone,
    ),
    householdSent: householdNotices(store),
  }));
}
