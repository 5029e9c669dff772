import type { Feed } from '../../domain/machine.js';
import { type Refused, refusalCodes, refuse } from '../errors.js';
import { type PayloadValue, shown } from './payload.js';

/** Whether a message says that the engine runs: one of the configured words, upper and lower case alike.
 *  @returns  true, false, or why neither; a word in neither list is refused */
export function decodeRunning(feed: Extract<Feed, { kind: 'running' }>, payload: PayloadValue): boolean | Refused {
  const word = String(payload.value).toLowerCase();
  if (feed.yes.some((yes) => yes.toLowerCase() === word)) return true;
  if (feed.no.some((no) => no.toLowerCase() === word)) return false;
  return refuse(
    refusalCodes.unreadable,
    `${shown(payload.value)} is neither one of the words for running (${feed.yes.join(', ')}) nor for standing (${feed.no.join(', ')})`,
  );
}
