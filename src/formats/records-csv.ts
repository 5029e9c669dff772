import { type Day, parseDay } from '../domain/day.js';
import { parseHoursText } from '../domain/hours-text.js';
import { type CsvRows, neededCell, parsedCell, readCsv } from './csv.js';
import { rowFault } from './errors.js';

/** One piece of work of a file. */
export interface RecordCsvRow {
  readonly line: number;
  readonly day: Day;
  /** Meter hours then; null where the paper does not tell. */
  readonly hours: number | null;
  /** Task ids, at least one. */
  readonly tasks: readonly string[];
  readonly note: string | null;
}

/** Old paper records from CSV: columns `day`, `tasks` (ids with spaces, semicolons, plus signs or commas between), and where
 *  wanted `hours` and `note`.
 *  @param file names the file in faults
 *  @returns    rows in the order of the file; whether the machine has the tasks is judged by the ledger
 *  Source: RFC 4180. */
export function readRecordsCsv(text: string, file: string): CsvRows<RecordCsvRow> {
  return readCsv(text, file, { needed: [['day'], ['tasks']], optional: ['hours', 'note'] }, (row) => {
    const day = parsedCell(row, 'day', neededCell(row, 'day'), parseDay);
    const hours = row.cell('hours');
    const cell = neededCell(row, 'tasks');
    const tasks = cell.split(/[\s;,+]+/).filter((task) => task !== '');
    if (tasks.length === 0) {
      throw rowFault(
        'csv-row-incomplete',
        row.place,
        'The row names no task',
        cell,
        'Write the ids of the tasks done.',
      );
    }
    return {
      line: row.line,
      day,
      hours: hours === null ? null : parsedCell(row, 'hours', hours, parseHoursText),
      tasks,
      note: row.cell('note'),
    };
  });
}
