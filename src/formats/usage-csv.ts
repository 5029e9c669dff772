import { type Day, parseDay } from '../domain/day.js';
import { parseHoursText } from '../domain/hours-text.js';
import { type CsvRows, neededCell, parsedCell, readCsv } from './csv.js';
import { rowFault } from './errors.js';

/** Hours that a machine ran on one day of a scripted year. */
export interface UsageCsvRow {
  readonly line: number;
  readonly day: Day;
  readonly machine: string;
  /** 0 to 24. */
  readonly hours: number;
}

/** A usage script from CSV: columns `day`, `machine`, `hours`; at most one row for a machine and day.
 *  @param file names the file in faults
 *  Source: RFC 4180. */
export function readUsageCsv(text: string, file: string): CsvRows<UsageCsvRow> {
  const lines = new Map<string, number>();
  return readCsv(text, file, { needed: [['day'], ['machine'], ['hours']], optional: [] }, (row) => {
    const day = parsedCell(row, 'day', neededCell(row, 'day'), parseDay);
    const machine = neededCell(row, 'machine');
    const cell = neededCell(row, 'hours');
    const hours = parsedCell(row, 'hours', cell, parseHoursText);
    if (hours > 24) {
      throw rowFault('csv-cell-unreadable', row.placeOf(cell), 'hours: a day has 24 of them', cell, 'Write 0 to 24.');
    }
    const key = `${machine} ${day}`;
    const before = lines.get(key);
    if (before !== undefined) {
      throw rowFault(
        'csv-row-twice',
        row.place,
        `Line ${before} tells of this machine and day already`,
        key,
        'Add them up in one row.',
      );
    }
    lines.set(key, row.line);
    return { line: row.line, day, machine, hours };
  });
}
