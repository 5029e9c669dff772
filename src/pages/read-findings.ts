import { isBare, withUnitEntered } from '../domain/expected-unit.js';
import type { Finding } from '../domain/facts.js';
import { greasedFinding } from '../domain/greased.js';
import type { Sheet, SheetMeasurement } from '../domain/results/sheet.js';
import { lookEntriesOf } from '../domain/specification.js';
import { pointsFinding } from '../domain/task.js';
import {
  allSoundName,
  blockedName,
  findingName,
  keepName,
  notTodayName,
  outcomeName,
  pointsName,
} from './field-names.js';
import type { Form } from './guard/form.js';

/** The findings that a form holds, as typed: the ledger judges them. One for each place of the sheet with anything typed,
 *  in the sheet's order. Only fields that the sheet has are looked at, so a form cannot bring in measurements of its own. */
export function readFindings(form: Form, sheet: Sheet): readonly Finding[] {
  const findings: Finding[] = [];
  for (const line of sheet.lines) {
    switch (line.kind) {
      case 'measurement':
        findings.push(...readMeasured(form, line));
        break;
      case 'keep':
        findings.push({
          ...blank,
          task: line.task,
          measurement: line.value.name,
          found: withUnit(form.optional(keepName(line, 'found')), line.value.unit),
          left: withUnit(form.optional(keepName(line, 'left')), line.value.unit),
        });
        break;
      case 'points':
        findings.push({
          ...blank,
          task: line.task,
          measurement: pointsFinding(line.points),
          found: greasedFinding(
            line.points,
            form.all(pointsName(line)),
            form.optional(blockedName(line)),
            isTicking(form, sheet, line.task),
          ),
        });
        break;
      case 'outcomes':
        findings.push({
          ...blank,
          task: line.task,
          measurement: 'outcome',
          found: form.optional(outcomeName(line.task)),
        });
        break;
      default:
        break;
    }
  }
  return findings.filter((finding) => finding.found !== null || finding.left !== null || finding.note !== null);
}

/** What a form holds of one measurement, at each of its places in their order; blank where nothing is typed. */
export function readMeasured(form: Form, line: Measured): readonly Finding[] {
  return (line.measurement.places ?? [null]).map((place, index) => ({
    ...blank,
    task: line.task,
    measurement: line.measurement.id,
    place,
    found: asEntered(line, foundAt(form, line, index)) ?? soundByOneTap(form, line),
    left: asEntered(line, form.optional(findingName(line, index, 'left'))),
    note: form.optional(findingName(line, index, 'note')),
  }));
}

/** Whether any point of the job is ticked: who ticks some counts them, and what is not ticked was not greased. */
function isTicking(form: Form, sheet: Sheet, task: string): boolean {
  return sheet.lines.some(
    (line) => line.kind === 'points' && line.task === task && form.all(pointsName(line)).length > 0,
  );
}

type Measured = Pick<SheetMeasurement, 'task' | 'measurement' | 'unit'>;

/** Jobs of the sheet that were ticked as "not today", for a visit of their own. */
export function notTodayOf(form: Form, sheet: Sheet): readonly string[] {
  return sheet.lines.flatMap((line) =>
    line.kind === 'if-out' && form.text(notTodayName(line.task)) === 'yes' ? [line.task] : [],
  );
}

const blank = { place: null, found: null, left: null, verdict: null, note: null } as const;

/** A bare number means the unit that stands beside its field. */
function asEntered({ measurement, unit }: Measured, text: string | null): string | null {
  return text === null || unit === null ? text : withUnitEntered(measurement.specification, text, unit);
}

function foundAt(form: Form, line: Measured, place: number): string | null {
  const found = form.optional(findingName(line, place, 'found'));
  const second = form.optional(findingName(line, place, 'second'));
  switch (line.measurement.specification.kind) {
    case 'difference':
      // One of the two missing stays as typed, so that the ledger names what is wrong with it.
      return second === null ? found : `${found ?? ''}; ${second}`;
    case 'test':
      // A time says more than "passed": it is held against the longest one allowed.
      return found === 'failed' ? found : (second ?? found);
    case 'level':
      return second === null ? found : `${found ?? ''}, ${second}`;
    default:
      return found;
  }
}

/** What one tick for all places says of this one: the first word that is offered for it, dry or sound. */
function soundByOneTap(form: Form, { task, measurement }: Measured): string | null {
  const { specification } = measurement;
  if (specification.kind !== 'look' || form.text(allSoundName(task)) !== 'yes') return null;
  return lookEntriesOf(specification)[0] ?? null;
}

function withUnit(text: string | null, unit: string): string | null {
  return text !== null && isBare(text) ? `${text} ${unit}` : text;
}
