import { betweenTwo } from '../domain/expected-unit.js';
import type { Finding } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import type { Measurement } from '../domain/task.js';
import { hasVerdict, judge } from '../inspection/judge.js';
import { plainText } from './plain-text.js';

/** What a finding comes to before it is written down, for whoever stands at the machine: the verdict of the value as found, then of
 *  the one as left, or what is wrong with the entry and what would be right. Nothing is kept.
 *  @param measurement  with the limits that count on the sheet
 *  @param finding      texts as typed; null and blank: nothing yet
 *  @returns            sentences; empty where nothing is typed, where one of two values is still to come, and for a value to set */
export function verdictSoFar(measurement: Measurement, finding: Pick<Finding, 'found' | 'left'>): string {
  const { specification } = measurement;
  if (!hasVerdict(specification)) return '';
  const say = (raw: string | null, before: string) => {
    const text = plainText(raw);
    if (text === null || !isWhole(measurement, text)) return [];
    return [`${before}${judged(measurement, text)}`];
  };
  const found = say(finding.found, '');
  const left = say(finding.left, 'As left: ');
  const isHalf = specification.kind === 'adjustThen' && found.length > 0 && left.length === 0;
  return [...found, ...left, ...(isHalf ? ['Adjust it, then write the value as left.'] : [])].join(' ');
}

function judged({ specification, resolution }: Measurement, text: string): string {
  try {
    return judge(specification, specification.kind === 'difference' ? text.split(betweenTwo) : text, resolution).text;
  } catch (failure) {
    if (failure instanceof Fault) return `Not taken: ${failure.message}. ${failure.remedy ?? ''}`.trim();
    throw failure;
  }
}

/** Somebody who typed one of two values is not done yet; the amount topped up may come before the level as it stood. */
function isWhole({ specification: { kind } }: Measurement, text: string): boolean {
  if (kind === 'difference') {
    const values = text.split(betweenTwo);
    return values.length > 1 && values.every((value) => value.trim() !== '');
  }
  return kind !== 'level' || !text.startsWith(',');
}
