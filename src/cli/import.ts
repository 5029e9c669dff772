import { basename } from 'node:path';
import type { Fault } from '../domain/fault.js';
import { type MoneyHabit, moneyHabitOf } from '../domain/money-text.js';
import { readReadingsCsv } from '../formats/readings-csv.js';
import { readRecordsCsv } from '../formats/records-csv.js';
import { type Import, importRows } from '../ledger/import-rows.js';
import { sayCount } from '../words/counts.js';
import type { At } from './at.js';
import { machineNamed, withService } from './open-home.js';
import { exitStatus, type Output } from './output.js';
import { readText } from './usage-file.js';

/** As typed. */
export interface ImportOptions {
  readonly machine: string;
  readonly dryRun?: true;
  readonly confirm?: true;
}

/** `shedbell import FILE.csv --machine NAME`: readings (`at,hours`) or old paper records (`day,hours,tasks,note`, and what was paid), all or none. */
export function runImport(at: At, file: string, options: ImportOptions, out: Output): Promise<number> {
  return withService(at, (service, home) => {
    const machine = machineNamed(home, options.machine);
    const { rows, faults } = parseRows(readText(file, 'import'), file, moneyHabitOf(home.household));
    const answer = importRows(service.books, {
      ...rows,
      machine: machine.id,
      file,
      by: null,
      // Where rows cannot be read nothing is imported, but what is wrong with the others is said too.
      dryRun: options.dryRun === true || faults.length > 0,
      confirm: options.confirm === true,
    });
    const wrong = inFileOrder([...faults, ...(answer.kind === 'refused' ? answer.faults : [])]);
    const unseen = answer.kind === 'refused' ? answer.unseen : 0;
    if (wrong.length > 0 || answer.kind === 'refused') {
      const status = sayFaults(wrong, out);
      if (unseen > 0) out.error(`${sayCount(unseen, 'more row')} not looked at yet; nothing was imported.`);
      return status;
    }
    const what = `${sayCount(answer.readings, 'reading')} and ${sayCount(answer.records, 'record')}`;
    const known = answer.already === 0 ? '' : `; known before: ${sayCount(answer.already, 'row')}`;
    const paid =
      answer.amounts === undefined ? '' : `; paid for work known before: ${sayCount(answer.amounts, 'amount')}`;
    const done = options.dryRun === true ? 'would be imported (nothing was)' : 'imported';
    out.line(`${basename(file)}: ${what} ${done}${known}${paid}.`);
    return exitStatus.fine;
  });
}

/** A file with a `tasks` column holds records, any other readings. */
function parseRows(
  text: string,
  file: string,
  habit: MoneyHabit,
): { rows: Pick<Import, 'readings' | 'records'>; faults: readonly Fault[] } {
  const header = text.replace(/^\uFEFF/, '').split(/\r?\n/, 1)[0] ?? '';
  if (/(^|[,;\t"])\s*tasks\s*($|[,;\t"])/i.test(header)) {
    const { rows, faults } = readRecordsCsv(text, file, habit);
    return { rows: { readings: [], records: rows }, faults };
  }
  const { rows, faults } = readReadingsCsv(text, file);
  return { rows: { readings: rows, records: [] }, faults };
}

function inFileOrder(faults: readonly Fault[]): readonly Fault[] {
  const lineOf = ({ place }: Fault) => Number(/:(\d+):\d+$/.exec(place ?? '')?.[1] ?? 0);
  return [...faults].sort((a, b) => lineOf(a) - lineOf(b));
}

function sayFaults(faults: readonly Fault[], out: Output): number {
  for (const fault of faults) out.error(fault.line);
  return exitStatus.badInput;
}
