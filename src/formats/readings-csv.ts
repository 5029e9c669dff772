import { parseDay, parseInstant, parseZone } from '../domain/day.js';
import { parseHoursText } from '../domain/hours-text.js';
import { type CsvRows, neededCell, parsedCell, readCsv } from './csv.js';

/** One reading of a file. */
export interface ReadingCsvRow {
  readonly line: number;
  /** An instant, a local time or a day, as written: the household's zone is not known here. */
  readonly at: string;
  /** Meter hours, finite, >= 0. */
  readonly hours: number;
  readonly note: string | null;
}

/** Readings from CSV: columns `at` or `day`, `hours`, and where wanted `note`.
 *  @param file names the file in faults
 *  @returns    rows in the order of the file; faults name `file:line:column` and what would be right
 *  Source: RFC 4180, ISO 8601. */
export function readReadingsCsv(text: string, file: string): CsvRows<ReadingCsvRow> {
  const anyZone = parseZone('UTC');
  return readCsv(text, file, { needed: [['at', 'day'], ['hours']], optional: ['note'] }, (row) => {
    const instant = row.cell('at');
    const at = instant ?? neededCell(row, 'day');
    if (instant === null) parsedCell(row, 'day', at, parseDay);
    else parsedCell(row, 'at', at, (cell) => parseInstant(cell, anyZone));
    const hours = parsedCell(row, 'hours', neededCell(row, 'hours'), parseHoursText);
    return { line: row.line, at, hours, note: row.cell('note') };
  });
}
