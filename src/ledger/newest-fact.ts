import { newestWritten } from '../store/facts/newest.js';
import type { Books } from './books.js';

/** When anything was last written down, by this computer's own clock, Unix milliseconds; null while nothing was. A clock before it is wrong. */
export function newestFactMs(books: Books): number | null {
  return newestWritten(books.store);
}
