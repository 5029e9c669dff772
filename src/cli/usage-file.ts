import { readFileSync } from 'node:fs';
import type { Day } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import { readUsageCsv } from '../formats/usage-csv.js';
import { systemCode } from '../home/read-file.js';
import type { UsageDay } from '../rehearsal/truth/true-hours.js';
import { BadInput } from './output.js';

/** A usage script (CSV `day,machine,hours`) by machine.
 *  @throws Fault or BadInput naming file and line */
export function usageByMachine(file: string, home: Home): ReadonlyMap<string, readonly UsageDay[]> {
  const { rows, faults } = readUsageCsv(readText(file, '--usage'), file);
  const first = faults[0];
  if (first !== undefined) throw first;
  const byMachine = new Map<string, { day: Day; hours: number }[]>();
  for (const row of rows) {
    if (!home.machines.some((m) => m.id === row.machine)) {
      throw new BadInput(
        `${file}:${row.line}:1: there is no machine ${JSON.stringify(row.machine)}. Known: ${home.machines.map((m) => m.id).join(', ')}.`,
      );
    }
    const days = byMachine.get(row.machine) ?? [];
    days.push({ day: row.day, hours: row.hours });
    byMachine.set(row.machine, days);
  }
  return byMachine;
}

const whyUnreadable: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  ENOTDIR: 'there is no such file',
  EISDIR: 'this is a folder, not a file',
  EACCES: 'this file may not be read by this user',
};

/** The text of a file that an option names.
 *  @throws BadInput where the name is empty or it names nothing that can be read */
export function readText(file: string, option: string): string {
  if (file.trim() === '') throw new BadInput(`${option} was given nothing.`);
  try {
    return readFileSync(file, 'utf8');
  } catch (cause) {
    const code = systemCode(cause);
    const why = whyUnreadable[code] ?? `this file cannot be read (${code})`;
    throw new BadInput(`${file}: ${why}.`);
  }
}
