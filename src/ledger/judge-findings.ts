import type { Finding } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import type { Machine } from '../domain/machine.js';
import type { VerdictKind } from '../domain/results/verdict.js';
import type { Measurement } from '../domain/task.js';
import { hasVerdict, judge } from '../inspection/judge.js';
import { refusal } from './errors.js';
import { plainText } from './plain-text.js';

/** Findings as they are kept: texts as typed, each with the verdict of the day. Entries that say nothing are left out.
 *  What is no measurement of its task (points, kept values, outcomes) has no verdict.
 *  @throws Fault finding-of-another-task, finding-unreadable, text-too-long */
export function judgeFindings(
  machine: Machine,
  tasks: readonly string[],
  findings: readonly Finding[],
): readonly Finding[] {
  return findings.flatMap((raw) => {
    const finding = {
      ...raw,
      found: plainText(raw.found),
      left: plainText(raw.left),
      note: plainText(raw.note),
    };
    if (finding.found === null && finding.left === null && finding.note === null) return [];
    if (!tasks.includes(finding.task)) {
      throw refusal('finding-of-another-task', 'A finding is of a task that is not confirmed', {
        place: `${finding.task}, ${finding.measurement}`,
        remedy: 'Tick that task too, or clear the finding.',
      });
    }
    const task = machine.tasks.find((t) => t.id === finding.task);
    const measurement = task?.measure.find((m) => m.id === finding.measurement);
    return [{ ...finding, verdict: measurement === undefined ? null : verdictOf(measurement, finding) }];
  });
}

function verdictOf(measurement: Measurement, finding: Finding): VerdictKind | null {
  const { specification } = measurement;
  if (!hasVerdict(specification)) return null;
  const adjusts = specification.kind === 'adjustThen';
  if (adjusts && finding.found !== null && finding.left === null) {
    throw refusal('finding-unreadable', `${measurement.name}: the value as left is missing`, {
      place: `${finding.task}, ${finding.measurement}`,
      remedy: 'Adjust it, then enter the value as left.',
    });
  }
  const verdicts = [finding.found, finding.left].map((text) =>
    text === null ? null : judged(measurement, finding, text),
  );
  const [found = null, left = null] = verdicts;
  return adjusts ? left : found;
}

function judged(measurement: Measurement, finding: Finding, text: string): VerdictKind {
  const values = measurement.specification.kind === 'difference' ? text.split(/\s*(?:;|\band\b)\s*/) : text;
  try {
    return judge(measurement.specification, values, measurement.resolution).verdict;
  } catch (cause) {
    if (!(cause instanceof Fault)) throw cause;
    throw refusal('finding-unreadable', `${measurement.name}: ${cause.message}`, {
      place: `${finding.task}, ${finding.measurement}`,
      found: cause.found ?? JSON.stringify(text.slice(0, 60)),
      ...(cause.remedy === undefined ? {} : { remedy: cause.remedy }),
      cause,
    });
  }
}
