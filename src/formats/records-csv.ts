import { type Day, parseDay } from '../domain/day.js';
import { parseHoursText } from '../domain/hours-text.js';
import { currencyNamed, type Money } from '../domain/money.js';
import { type MoneyHabit, parseMoney } from '../domain/money-text.js';
import { type CsvRow, type CsvRows, neededCell, parsedCell, readCsv } from './csv.js';
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
  /** Null where the paper does not tell what it cost. */
  readonly paid: { readonly money: Money; readonly what: string | null } | null;
}

/** Old paper records from CSV: columns `day`, `tasks` (ids with spaces, semicolons, plus signs or commas between), and where
 *  wanted `hours` and `note`, and what was paid: `paid` with `currency` (or the code within it) and `paid_for`.
 *  @param file  names the file in faults
 *  @param habit what an amount means that says no currency
 *  @returns    rows in the order of the file; whether the machine has the tasks is judged by the ledger
 *  Source: RFC 4180. */
export function readRecordsCsv(text: string, file: string, habit: MoneyHabit): CsvRows<RecordCsvRow> {
  const optional = ['hours', 'note', 'paid', 'currency', 'paid_for'];
  return readCsv(text, file, { needed: [['day'], ['tasks']], optional }, (row) => {
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
      paid: paidIn(row, habit),
    };
  });
}

/** A currency or words of what for without an amount would be lost, so they are a fault. */
function paidIn(row: CsvRow, habit: MoneyHabit): RecordCsvRow['paid'] {
  const [amount, code, what] = [row.cell('paid'), row.cell('currency'), row.cell('paid_for')];
  if (amount === null) {
    const left = code ?? what;
    if (left === null) return null;
    throw rowFault(
      'csv-row-incomplete',
      row.place,
      'The row says no amount paid',
      left,
      'Fill in paid, or empty both.',
    );
  }
  const currency = code === null ? habit.currency : parsedCell(row, 'currency', code, currencyNamed);
  return { money: parsedCell(row, 'paid', amount, (text) => parseMoney(text, { ...habit, currency })), what };
}
