import { dayMs } from '../domain/day.js';
import type { Facts } from '../domain/facts.js';
import { nightsOf } from '../store/facts/nights.js';
import { householdNotices } from '../store/facts/notices.js';
import type { Books } from './books.js';
import { factsOf } from './machine-facts.js';

/** What carries a later stamp than this ahead was written under a clock that ran ahead. */
const allowedAheadMs = dayMs;

/** All facts of the household at one moment, for the machines in the home folder and in their order. Notices and answers that
 *  a clock running ahead stamped are left out: they would silence the service until that day comes. */
export function gather(books: Books): Facts {
  const { household, machines } = books.home();
  const { store } = books;
  const latestMs = books.clock.nowMs() + allowedAheadMs;
  const isStamped = (fact: { readonly atMs: number }) => fact.atMs <= latestMs;
  return store.read(() => ({
    version: store.dataVersion(),
    machines: factsOf(
      store,
      machines.map((m) => m.id),
      household.zone,
    ).map((facts) => ({
      ...facts,
      answers: facts.answers.filter(isStamped),
      sent: facts.sent.filter(isStamped),
    })),
    householdSent: householdNotices(store).filter(isStamped),
    ...(household.temperature === undefined ? {} : { nights: nightsOf(store) }),
  }));
}
