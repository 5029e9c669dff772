import type { Sheet } from '../domain/results/sheet.js';
import { fieldName } from './finding-fields.js';
import type { Form } from './guard/form.js';

/** What a person found at one measurement, as typed; the ledger judges it. */
export interface TypedFinding {
  readonly task: string;
  readonly measurement: string;
  readonly place: string | null;
  readonly found: string | null;
  /** The second of two values whose difference counts. */
  readonly second: string | null;
  readonly left: string | null;
  readonly note: string | null;
}

/** The findings that a form holds: one for each measurement of the sheet with anything typed, in the sheet's order.
 *  Only fields that the sheet has are looked at, so a form cannot bring in measurements of its own. */
export function readFindings(form: Form, sheet: Sheet): readonly TypedFinding[] {
  const findings: TypedFinding[] = [];
  for (const line of sheet.lines) {
    switch (line.kind) {
      case 'measurement':
        (line.measurement.places ?? [null]).forEach((place, index) => {
          const typed = (what: 'found' | 'second' | 'left' | 'note') => form.optional(fieldName(line, index, what));
          findings.push({
            task: line.task,
            measurement: line.measurement.id,
            place,
            found: typed('found'),
            second: typed('second'),
            left: typed('left'),
            note: typed('note'),
          });
        });
        break;
      case 'keep':
        findings.push({
          task: line.task,
          measurement: line.value.name,
          place: null,
          found: form.optional(`keep.${line.task}.${line.number}.found`),
          second: null,
          left: form.optional(`keep.${line.task}.${line.number}.left`),
          note: null,
        });
        break;
      case 'outcomes':
        findings.push({
          task: line.task,
          measurement: 'outcome',
          place: null,
          found: form.optional(`outcome.${line.task}`),
          second: null,
          left: null,
          note: null,
        });
        break;
      default:
        break;
    }
  }
  return findings.filter(
    (finding) => finding.found !== null || finding.second !== null || finding.left !== null || finding.note !== null,
  );
}
