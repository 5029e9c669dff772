import type { Night } from '../domain/night.js';
import { lowerNight } from '../store/facts/nights.js';
import type { Books } from './books.js';

/** Enters how cold a day was; a warmer value than the one known changes nothing. */
export function enterNight(books: Books, night: Night): void {
  books.store.write(() => lowerNight(books.store, night));
}
