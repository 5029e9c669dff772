import type { Fault } from '../domain/fault.js';
import { placeOfFinding } from '../domain/finding-place.js';
import type { Sheet } from '../domain/results/sheet.js';
import { findingName, notTodayName } from './field-names.js';

/** Fields of a confirmation beside those of the sheet, by the code of what may be wrong with them. */
const fields: Readonly<Record<string, string>> = {
  'nothing-ticked': 'task',
  'no-tasks': 'task',
  'closing-job-missing': 'task',
  'out-of-season': 'season',
  'hours-unreadable': 'hours',
  'minutes-unreadable': 'minutes',
  'day-unreadable': 'day',
  'day-in-future': 'day',
  'day-before-machine': 'day',
  'text-too-long': 'note',
  'paid-missing': 'paid',
  'currency-unknown': 'paid',
};

/** The field of a confirmation that a fault is about, by name; null where it is about none of them. */
export function refusedField(fault: Fault, sheet: Sheet | null): string | null {
  for (const line of sheet?.lines ?? []) {
    if (line.kind === 'if-out' && fault.code === 'own-visit-without-finding' && fault.place === line.task)
      return notTodayName(line.task);
    if (line.kind !== 'measurement') continue;
    for (const [index, place] of (line.measurement.places ?? [null]).entries()) {
      const finding = { task: line.task, measurement: line.measurement.id, place };
      for (const moment of ['found', 'left'] as const) {
        if (fault.place === placeOfFinding(finding, moment)) return findingName(line, index, moment);
      }
    }
  }
  if (fault.place === 'paid-for') return 'paidFor';
  if (fault.code.startsWith('money-')) return 'paid';
  return fields[fault.code] ?? (fault.code.startsWith('reading-') ? 'hours' : null);
}
