import { CsvError, parse } from 'csv-parse/sync';
import { Fault } from '../domain/fault.js';
import { rowFault } from './errors.js';

/** One row under its column names, with its place for faults (`file:line:column`). */
export interface CsvRow {
  readonly line: number;
  /** Of the row as a whole. */
  readonly place: string;
  /** Of one of its cells. */
  placeOf(cell: string): string;
  /** Trimmed; an empty cell is null. A column that the file lacks is null too. */
  cell(column: string): string | null;
}

/** What a reader of CSV answers: the good rows and every fault. Import only where there is no fault. */
export interface CsvRows<T> {
  readonly rows: readonly T[];
  readonly faults: readonly Fault[];
}

interface Columns {
  /** One of each group must be there, such as ['at', 'day']. */
  readonly needed: readonly (readonly string[])[];
  readonly optional: readonly string[];
}

/** Rows of a CSV text whose first line names the columns. Commas between cells, or semicolons where the first line has those.
 *  @param text   may begin with a byte order mark; LF or CRLF; empty lines are passed over
 *  @param file   names the file in faults
 *  @param readRow makes something of one row; what it throws as a Fault is collected, so that all faults come at once
 *  @returns      good rows in their order, and all faults in theirs
 *  Source: RFC 4180. */
export function readCsv<T>(text: string, file: string, columns: Columns, readRow: (row: CsvRow) => T): CsvRows<T> {
  let lines: readonly Line[];
  try {
    lines = splitLines(text);
  } catch (cause) {
    if (!(cause instanceof CsvError)) throw cause;
    const line = typeof cause.lines === 'number' ? cause.lines : 1;
    return refused(
      rowFault('csv-unreadable', `${file}:${line}:1`, 'This is no CSV', cause.message, 'Close every quote.', cause),
    );
  }
  const [header, ...body] = lines;
  if (header === undefined) {
    return refused(rowFault('csv-unreadable', `${file}:1:1`, 'The file is empty', '', sayColumns(columns)));
  }
  const names = header.cells.map((name) => name.toLowerCase());
  const known = [...columns.needed.flat(), ...columns.optional];
  if (!names.some((name) => known.includes(name))) {
    const remedy = `${sayColumns(columns)} Write such a line above the others.`;
    const place = `${file}:${header.line}:1`;
    return refused(
      rowFault('csv-column-missing', place, 'The first line names no column', header.cells.join(','), remedy),
    );
  }
  const faults = headerFaults(`${file}:${header.line}:1`, names, columns);
  if (faults.length > 0) return { rows: [], faults };
  const rows: T[] = [];
  const texts = text.split(/\r\n|\r|\n/);
  for (const { line, cells } of body) {
    const place = `${file}:${line}:1`;
    const placeOf = (cell: string) => `${file}:${line}:${(texts[line - 1]?.indexOf(cell) ?? 0) + 1 || 1}`;
    try {
      if (cells.length !== names.length) {
        throw rowFault(
          'csv-row-incomplete',
          place,
          `The row has ${cells.length} cells, the first line ${names.length}`,
          cells.join(','),
          'Fill in or leave out cells; put quotes around a cell that holds the separator.',
        );
      }
      const byName = new Map(names.map((name, index) => [name, cells[index] ?? '']));
      rows.push(readRow({ line, place, placeOf, cell: (column) => byName.get(column) || null }));
    } catch (cause) {
      if (!(cause instanceof Fault)) throw cause;
      faults.push(cause);
    }
  }
  return { rows, faults };
}

/** A cell that must hold something.
 *  @throws Fault csv-row-incomplete */
export function neededCell(row: CsvRow, column: string): string {
  const cell = row.cell(column);
  if (cell !== null) return cell;
  throw rowFault('csv-row-incomplete', row.place, `The cell ${column} is empty`, '', `Fill in ${column}.`);
}

/** What a parser of the domain makes of a cell; its fault gets the row's place.
 *  @throws Fault csv-cell-unreadable */
export function parsedCell<T>(row: CsvRow, column: string, cell: string, parseText: (text: string) => T): T {
  try {
    return parseText(cell);
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    throw rowFault(
      'csv-cell-unreadable',
      row.placeOf(cell),
      `${column}: ${cause.message}`,
      cell,
      cause.remedy ?? '',
      cause,
    );
  }
}

interface Line {
  readonly line: number;
  readonly cells: readonly string[];
}

function splitLines(text: string): readonly Line[] {
  const first = /^\uFEFF?\s*([^\r\n]*)/.exec(text)?.[1] ?? '';
  const delimiter = first.includes(';') && !first.includes(',') ? ';' : ',';
  const parsed = parse(text, {
    bom: true,
    delimiter,
    trim: true,
    skip_empty_lines: true,
    relax_column_count: true,
    info: true,
  }) as unknown as readonly { record: string[]; info: { lines: number } }[];
  return parsed
    .map(({ record, info }) => ({
      // The parser counts to the end of a row; a cell with line breaks began earlier.
      line: info.lines - record.reduce((breaks, cell) => breaks + (cell.match(/\r\n|\r|\n/g)?.length ?? 0), 0),
      cells: record,
    }))
    .filter(({ cells }) => cells.some((cell) => cell !== ''));
}

function headerFaults(place: string, names: readonly string[], columns: Columns): Fault[] {
  const known = [...columns.needed.flat(), ...columns.optional];
  const faults = names
    .filter((name) => !known.includes(name))
    .map((name) => rowFault('csv-column-unknown', place, 'This column means nothing here', name, sayColumns(columns)));
  for (const name of known) {
    if (names.filter((each) => each === name).length > 1) {
      faults.push(rowFault('csv-column-unknown', place, 'This column is there twice', name, sayColumns(columns)));
    }
  }
  for (const group of columns.needed) {
    const given = group.filter((name) => names.includes(name));
    if (given.length === 0) {
      faults.push(
        rowFault(
          'csv-column-missing',
          place,
          `The column ${group.join(' or ')} is missing`,
          names.join(','),
          sayColumns(columns),
        ),
      );
    } else if (given.length > 1) {
      faults.push(
        rowFault(
          'csv-column-unknown',
          place,
          `Only one of ${group.join(' and ')} can be there`,
          names.join(','),
          sayColumns(columns),
        ),
      );
    }
  }
  return faults;
}

function sayColumns(columns: Columns): string {
  const needed = columns.needed.map((group) => group.join(' or ')).join(', ');
  const optional = columns.optional.length === 0 ? '' : `; ${columns.optional.join(', ')} may follow`;
  return `The first line names the columns: ${needed}${optional}, such as ${example(columns)}.`;
}

/** A first line that would do; of a choice the last, which is the plainer one. */
function example(columns: Columns): string {
  return columns.needed.map((group) => group.at(-1) ?? '').join(',');
}

function refused(fault: Fault): CsvRows<never> {
  return { rows: [], faults: [fault] };
}
