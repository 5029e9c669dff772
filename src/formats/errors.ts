import { Fault } from '../domain/fault.js';

/** The codes of this folder, and when each is raised. */
const formatErrors = {
  'csv-unreadable': 'A file is no CSV: a quote is open, or there is nothing in it.',
  'csv-column-missing': 'The first line lacks a column that is needed.',
  'csv-column-unknown': 'The first line names a column that means nothing here.',
  'csv-row-incomplete': 'A row has more or fewer cells than the first line, or an empty one that is needed.',
  'csv-cell-unreadable': 'A cell does not hold what its column wants.',
  'csv-row-twice': 'Two rows say something about the same day.',
} as const;

type FormatCode = keyof typeof formatErrors;

/** A fault of one row, in the words of a person. */
export function rowFault(
  code: FormatCode,
  place: string,
  message: string,
  found: string,
  remedy: string,
  cause?: unknown,
): Fault {
  const shown = found === '' ? undefined : JSON.stringify(found.slice(0, 60));
  return new Fault({ code, place, message, found: shown, remedy, cause });
}
