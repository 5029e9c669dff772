import { Fault } from '../domain/fault.js';

/** Codes of this folder: why a reading is refused. */
export type ReadingFaultCode =
  /** Not a plain number of hours. */
  | 'reading-not-a-number'
  /** Below zero. */
  | 'reading-negative'
  /** More than a million hours. */
  | 'reading-too-large'
  /** Seen later than now. */
  | 'reading-in-future'
  /** Below an earlier reading. */
  | 'reading-below-last'
  /** Above a later reading. */
  | 'reading-above-later'
  /** More than 24 h a day since an earlier reading, or until a later one. */
  | 'reading-too-fast'
  /** The machine has no meter that could be read. */
  | 'reading-without-meter';

/** @param message  one sentence without its full stop
 *  @param found    the value, short
 *  @param remedy   what to do */
export function readingFault(code: ReadingFaultCode, message: string, found: string, remedy: string): Fault {
  return new Fault({ code, message, found, remedy, retry: 'after-fix' });
}
