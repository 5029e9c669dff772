import type { MachineFacts } from '../domain/facts.js';
import type { Night } from '../domain/night.js';
import { machinesInBooks } from '../store/facts/machines.js';
import { nightsOf } from '../store/facts/nights.js';
import type { Books } from './books.js';
import { factsOf } from './machine-facts.js';
import { allLetters, type WrittenLetter } from './outbox.js';

/** What the books hold besides the facts of the machines in the home folder. */
export interface Besides {
  /** Machines whose file was taken away or renamed. */
  readonly formerly: readonly MachineFacts[];
  /** How cold each day was, oldest first. */
  readonly nights: readonly Night[];
  /** Every letter, in the order of writing. */
  readonly letters: readonly WrittenLetter[];
}

/** For whoever takes everything out: nothing that is stored stays behind. */
export function gatherBesides(books: Books): Besides {
  const { household, machines } = books.home();
  const known = new Set(machines.map((machine) => machine.id));
  return books.store.read(() => ({
    formerly: factsOf(
      books.store,
      machinesInBooks(books.store).filter((machine) => !known.has(machine)),
      household.zone,
    ),
    nights: nightsOf(books.store),
    letters: allLetters(books),
  }));
}
